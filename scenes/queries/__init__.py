"""What pages read: whole answers in a fixed number of reads."""
