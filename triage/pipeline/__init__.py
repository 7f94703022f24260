"""The recipe: one generator that the command and the window both run."""
