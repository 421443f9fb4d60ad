"""The demo: an invented company in the middle of building an invented show."""
