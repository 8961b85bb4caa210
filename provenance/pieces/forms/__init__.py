"""What is asked about pieces, by subject."""
