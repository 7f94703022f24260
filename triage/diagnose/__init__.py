"""From a night's measurements to the parts that failed."""
