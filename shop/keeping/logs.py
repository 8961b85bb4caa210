"""How the log is written: enough to find a fault, nothing of what people typed."""

import logging
import traceback


class Discreet(logging.Formatter):
    """Writes where an exception came from and its kind, but not its message nor any value."""

    def formatException(self, ei: object) -> str:  # noqa: N802 (logging's own name)
        """Return file, line and function of each frame, then the exception's class."""
        assert isinstance(ei, tuple)  # noqa: S101 (logging hands over sys.exc_info())
        kind, _error, trace = ei
        frames = traceback.extract_tb(trace)
        lines = [f'  File "{f.filename}", line {f.lineno}, in {f.name}' for f in frames]
        return "\n".join([*lines, f"{kind.__module__}.{kind.__qualname__}" if kind else ""])

    def formatStack(self, stack_info: str) -> str:  # noqa: N802 (logging's own name)
        """Return nothing: a stack shows source lines only, but the frames above say enough."""
        return ""
