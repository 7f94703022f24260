"""Numbers from pixels: light, sharpness, shift, and what the still scene does not explain."""
