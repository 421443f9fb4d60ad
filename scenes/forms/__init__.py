"""Forms of the scenes app."""
