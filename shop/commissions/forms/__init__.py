"""What is asked about commissions, by subject."""
