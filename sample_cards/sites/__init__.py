"""Sites besides the first."""
