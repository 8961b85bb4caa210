"""The pages of the sales room, by subject."""
