"""A page of a server that runs as a process of its own."""

import http.client
import time


def page_of(path: str, port: int) -> str:
    """A page, as soon as the server answers."""
    deadline = time.monotonic() + 60
    while True:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        try:
            connection.request("GET", path)
            return connection.getresponse().read().decode()
        except ConnectionRefusedError:
            assert time.monotonic() < deadline, "it doesn't answer"
            time.sleep(0.1)
        finally:
            connection.close()
