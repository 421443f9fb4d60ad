"""Units and working time of the company, without Django."""
