"""What is asked about sales, by subject."""
