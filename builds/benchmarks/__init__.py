"""Measurements of pages and papers, in a database that is made for them and thrown away."""
