"""Pages and the way in for programs: one server, one works, server-rendered, readable without script."""

from pairwright.web.frame import make_app
from pairwright.web.served import Served

__all__ = ["Served", "make_app"]
