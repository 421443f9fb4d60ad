"""Forms of the builds app."""
