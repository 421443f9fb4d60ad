"""Forms of the company app."""
