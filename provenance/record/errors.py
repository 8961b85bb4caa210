"""The one family of errors that people get to read."""


class RecordError(Exception):
    """Something the record refuses. `str(error)` is a sentence that says what to do."""
