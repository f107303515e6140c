"""A listener on the loopback address that counts who connects.

It stands in for the rest of the world: a browser is told to send everything to it. It remembers the
first line that each visitor says, answers that there is nothing here, and hangs up.
"""

import socket
import threading

ANSWER = b"HTTP/1.1 204 No Content\r\nAccess-Control-Allow-Origin: *\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"


class Listener:
    """Counts connections while it is entered with `with`."""

    def __enter__(self):
        self.visits = []
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port = self._door.getsockname()[1]
        threading.Thread(target=self._serve, daemon=True).start()
        return self

    def __exit__(self, *_):
        self._door.close()

    def _serve(self):
        while True:
            try:
                visitor, _ = self._door.accept()
            except OSError:
                return
            threading.Thread(target=self._hear, args=(visitor,), daemon=True).start()

    def _hear(self, visitor):
        visit = [""]
        self.visits.append(visit)
        with visitor:
            try:
                visitor.settimeout(2)
                visit[0] = visitor.recv(4096).split(b"\r\n")[0].decode("latin-1")
                visitor.sendall(ANSWER)
            except OSError:
                pass

    def said(self):
        """The first line of each visitor; empty where one only connected."""
        return [visit[0] for visit in self.visits]
