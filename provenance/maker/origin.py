"""The public address of the shop: an origin, for it is printed once and must hold for decades."""

from urllib.parse import urlsplit


class NotAnOrigin(ValueError):
    """What was typed is no origin. `str(error)` is a sentence that says what to type."""


def parse_origin(text: str) -> str:
    """Return `text` as an origin, such as `https://bowls.example.org`, in lower case; '' for none.

    Raises `NotAnOrigin` for a path, a query, a name and password, or another scheme than http(s).
    """
    typed = text.strip()
    if not typed:
        return ""
    if not typed.lower().startswith(("https://", "http://")):
        raise NotAnOrigin("Begin the public address with https:// (or http://).")
    try:
        parts = urlsplit(typed)
        host, port = parts.hostname or "", parts.port
        host = host if ":" in host else host.encode("idna").decode("ascii")
    except ValueError as error:
        raise NotAnOrigin(
            "This is not a web address: type one such as https://bowls.example.org."
        ) from error
    if not host or any(character in host for character in " %\\_") or parts.username is not None:
        raise NotAnOrigin("This is not a web address: type one such as https://bowls.example.org.")
    if parts.path.strip("/") or parts.query or parts.fragment:
        raise NotAnOrigin(
            "Type the public address without a path: only scheme and host, "
            "such as https://bowls.example.org."
        )
    named = f"[{host}]" if ":" in host else host
    return f"{parts.scheme}://{named}" + (f":{port}" if port else "")
