"""Who learns of what: a page for everybody, a message for whom the works names."""

from __future__ import annotations

from typing import Final, Literal, TypeAlias, get_args

from pydantic import Field, model_validator

from pairwright.base.words import text
from pairwright.works.record import Id, Record, refuse

Matter: TypeAlias = Literal["hold", "nonconformance", "cure", "late order"]
MATTERS: Final[tuple[str, ...]] = get_args(Matter)


class Telling(Record):
    """People who learn of a matter: on the page of notices, or by a message besides.

    ``webhook`` posts a JSON document to the address `to`, ``mail`` writes to it. Messages leave only
    when somebody sends them (`pairwright tell --send`): by default nothing leaves the works.
    """

    of: Matter
    people: tuple[Id, ...] = Field(min_length=1)
    by: Literal["page", "webhook", "mail"] = "page"
    to: str = ""

    @model_validator(mode="after")
    def _has_an_address(self) -> Telling:
        fits = {
            "page": self.to == "",
            "webhook": self.to.startswith(("http://", "https://")),
            "mail": self.to.count("@") == 1 and not any(c.isspace() or c in "<>,;" for c in self.to),
        }
        if not fits[self.by]:
            raise refuse(
                text(
                    "an address in `to` that fits: http(s) for a webhook, one mail address, none for the page"
                ),
                text("state it"),
            )
        return self


class Mail(Record):
    """The works' own mail server, without a password: one that trusts the works' network."""

    host: str = Field(min_length=1, max_length=253)
    port: int = Field(default=25, ge=1, le=65535)
    sender: str = Field(min_length=3, max_length=254)
