"""Pages of the company app: coming in, people, hours."""
