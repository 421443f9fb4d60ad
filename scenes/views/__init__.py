"""Pages of the scenes app."""
