"""The pages of the commissions room, by subject."""
