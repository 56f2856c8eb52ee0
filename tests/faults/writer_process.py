"""A process that keeps a record and takes events over a loopback socket, to be killed by the tests.

One JSON event a line comes in, one JSON answer a line goes out. With `--early` it answers before the
event is safe: the mistake that the kill test must notice.
"""

from __future__ import annotations

import json
import socketserver
import sys
import threading
from pathlib import Path
from typing import Any

from pairwright.archive.record import Record, open_record
from pairwright.base.errors import InputError, RefusedError
from pairwright.floor import read_event


class Desk(socketserver.StreamRequestHandler):
    """One client."""

    record: Record
    early = False

    def handle(self) -> None:
        for line in self.rfile:
            answer = self.answer(line)
            self.wfile.write(json.dumps(answer).encode() + b"\n")

    def answer(self, line: bytes) -> dict[str, Any]:
        try:
            event = read_event(line)
            if self.early:
                self.record.writer.submit([event])
                return {"key": event.key, "sequence": 0, "hash": ""}
            (found,) = self.record.append([event])
        except (InputError, RefusedError) as error:
            return {"refused": str(error)}
        return {**found.as_json(), "replayed": found.replayed}


class Server(socketserver.ThreadingTCPServer):
    """Takes clients until it is killed."""

    daemon_threads = True
    request_queue_size = 64


def main() -> None:
    Desk.record = open_record(Path(sys.argv[1]))
    Desk.early = "--early" in sys.argv
    with Server(("127.0.0.1", 0), Desk) as server:
        print(server.server_address[1], flush=True)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        sys.stdin.read()  # the end of input ends it in order
        server.shutdown()
    Desk.record.close()


if __name__ == "__main__":
    main()
