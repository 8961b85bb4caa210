"""Who writes in the book, and when."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.http import HttpRequest
from django.utils import timezone

from provenance.maker.models import Shop, User


@dataclass(frozen=True)
class Scribe:
    """The hand that writes an entry: the user, the moment, and the shop's time zone.

    Every function that writes takes one, so that nothing reads the clock on its own and
    the past can be written in order.
    """

    user: User | None
    at: datetime
    zone: ZoneInfo

    @classmethod
    def now(cls, user: User | None = None) -> "Scribe":
        """Return a scribe writing at this moment. One query, for the shop's time zone."""
        return cls(user=user, at=timezone.now(), zone=Shop.current().zone)

    @property
    def today(self) -> date:
        """The date in the shop's time zone."""
        return self.at.astimezone(self.zone).date()


def scribe_of(request: HttpRequest) -> Scribe:
    """Return the scribe of a signed-in owner's request."""
    return Scribe.now(request.user if isinstance(request.user, User) else None)
