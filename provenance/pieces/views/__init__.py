"""The pages of the pieces room, by subject."""
