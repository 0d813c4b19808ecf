"""The one way into the network, tried against a service of this machine that behaves and misbehaves."""

from __future__ import annotations

import ssl
import threading
import time
from collections.abc import Callable, Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from smokejournal.cook.weather.by_network import NoReport
from smokejournal.host.web import LARGEST, fetch_text

#: A certificate for "localhost", signed by itself, with its key: good for nothing else.
PEM = Path(__file__).parent.parent / "data" / "web" / "localhost_only_for_tests.pem"

Answer = Callable[[BaseHTTPRequestHandler], None]


class Service:
    """A web server on this machine. `asked` holds the requests that came: path and headers."""

    def __init__(self, *, safe: bool = True) -> None:
        self.asked: list[tuple[str, dict[str, str]]] = []
        self.answers: dict[str, Answer] = {}
        self.over = threading.Event()
        service = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                service.asked.append((self.path, dict(self.headers)))
                try:
                    service.answers[self.path](self)
                except (ConnectionError, ssl.SSLError):
                    self.close_connection = True

            def log_message(self, *_: object) -> None:
                """Quiet."""

        class Server(ThreadingHTTPServer):
            def handle_error(self, *_: object) -> None:
                """A client that hangs up is what many of these tests are about."""

        self._server = Server(("localhost", 0), Handler)
        if safe:
            context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
            context.load_cert_chain(PEM)
            self._server.socket = context.wrap_socket(
                self._server.socket, server_side=True, do_handshake_on_connect=False
            )
        scheme = "https" if safe else "http"
        self.root = f"{scheme}://localhost:{self._server.server_port}"
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.02,))
        self._thread.start()

    def says(self, path: str, body: bytes, code: int = 200, **headers: str) -> str:
        """Answer a path so; its whole address."""

        def answer(to: BaseHTTPRequestHandler) -> None:
            to.send_response(code)
            for name, value in headers.items():
                to.send_header(name.replace("_", "-"), value)
            to.send_header("Content-Length", str(len(body)))
            to.end_headers()
            to.wfile.write(body)

        self.answers[path] = answer
        return self.root + path

    def close(self) -> None:
        self.over.set()
        self._server.shutdown()
        self._thread.join(10.0)
        self._server.server_close()


@pytest.fixture(autouse=True)
def no_proxy(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("no_proxy", "*")


@pytest.fixture
def service() -> Iterator[Service]:
    service = Service()
    yield service
    service.close()


@pytest.fixture
def trusting() -> ssl.SSLContext:
    """As it is by default, and trusts the service of these tests too."""
    return ssl.create_default_context(cafile=str(PEM))


def refused(address: str, context: ssl.SSLContext | None, **limits: float) -> str:
    with pytest.raises(NoReport) as found:
        fetch_text(address, context, **limits)
    return found.value.message


def test_a_text_comes_as_it_is(service: Service, trusting: ssl.SSLContext) -> None:
    address = service.says("/ZZZZ.TXT", b"ZZZZ 251356Z <b>24008KT</b>\n")
    assert fetch_text(address, trusting) == "ZZZZ 251356Z <b>24008KT</b>\n"


def test_it_is_asked_by_name_and_told_nothing_else(
    service: Service, trusting: ssl.SSLContext
) -> None:
    address = service.says("/a?ids=ZZZZ", b"x", Set_Cookie="who=you")
    for _ in range(2):
        fetch_text(address, trusting)
    for path, headers in service.asked:
        assert path == "/a?ids=ZZZZ"
        assert headers.pop("Host").startswith("localhost")
        assert headers == {
            "User-Agent": "smokejournal",
            "Accept": "text/plain",
            "Accept-Encoding": "identity",
            "Connection": "close",
        }


def test_a_certificate_that_nobody_vouches_for_is_refused(service: Service) -> None:
    address = service.says("/a", b"x")
    assert refused(address, None) == "the service's certificate can't be trusted"
    assert service.asked == []


def test_a_certificate_of_another_host_is_refused(
    service: Service, trusting: ssl.SSLContext
) -> None:
    address = service.says("/a", b"x").replace("localhost", "127.0.0.1")
    assert refused(address, trusting) in (
        "the service's certificate can't be trusted",
        "no connection",  # where localhost is another address only
    )
    assert service.asked == []


@pytest.mark.parametrize("code", [400, 404, 429, 500, 503])
def test_an_error_is_told_by_its_number(
    service: Service, trusting: ssl.SSLContext, code: int
) -> None:
    address = service.says("/a", b"<html>no</html>", code)
    assert refused(address, trusting) == f"the service answers with error {code}"


def test_a_move_to_https_is_followed_and_to_http_is_not(
    service: Service, trusting: ssl.SSLContext
) -> None:
    plain = Service(safe=False)
    try:
        to_plain = plain.says("/b", b"spied on")
        service.says("/b", b"there")
        good = service.says("/good", b"", 301, Location="/b")
        assert fetch_text(good, trusting) == "there"
        for place in (to_plain, "HTTP" + to_plain[4:]):
            bad = service.says("/bad", b"", 302, Location=place)
            assert refused(bad, trusting).endswith("isn't https")
        assert plain.asked == []
    finally:
        plain.close()


@pytest.mark.parametrize("place", ["file:///etc/hostname", "ftp://localhost/a", "data:,x"])
def test_a_move_to_anything_else_is_not_followed(
    service: Service, trusting: ssl.SSLContext, place: str
) -> None:
    address = service.says("/a", b"", 302, Location=place)
    assert refused(address, trusting)


def test_moves_without_end_come_to_one(service: Service, trusting: ssl.SSLContext) -> None:
    for n in range(30):
        service.says(f"/{n}", b"", 302, Location=f"/{n + 1}")
    assert refused(service.root + "/0", trusting) == "the service answers with error 302"
    assert len(service.asked) <= 5


def pour(service: Service, code: int = 200, **headers: str) -> Answer:
    def answer(to: BaseHTTPRequestHandler) -> None:
        to.send_response(code)
        for name, value in headers.items():
            to.send_header(name, value)
        to.end_headers()
        while not service.over.is_set():
            to.wfile.write(b"ZZZZ 251356Z " * 500)

    return answer


def test_an_answer_without_end_is_cut_off(service: Service, trusting: ssl.SSLContext) -> None:
    service.answers["/a"] = pour(service)
    assert refused(service.root + "/a", trusting) == "what came is too long for a report"


def test_a_move_that_talks_without_end_is_not_listened_to(
    service: Service, trusting: ssl.SSLContext
) -> None:
    service.answers["/a"] = pour(service, 302, Location="/b")
    service.says("/b", b"there")
    assert fetch_text(service.root + "/a", trusting) == "there"


def test_the_largest_and_one_more(service: Service, trusting: ssl.SSLContext) -> None:
    assert len(fetch_text(service.says("/a", b"x" * LARGEST), trusting)) == LARGEST
    refused(service.says("/a", b"x" * (LARGEST + 1)), trusting)


def test_one_that_says_nothing_is_given_up(service: Service, trusting: ssl.SSLContext) -> None:
    service.answers["/a"] = lambda _: bool(service.over.wait(20.0)) and None
    assert refused(service.root + "/a", trusting, timeout_s=0.2) == "no answer in time"


def test_one_that_drips_is_given_up(service: Service, trusting: ssl.SSLContext) -> None:
    def drip(to: BaseHTTPRequestHandler) -> None:
        to.send_response(200)
        to.end_headers()
        while not service.over.wait(0.02):
            to.wfile.write(b".")

    service.answers["/a"] = drip
    began_s = time.monotonic()
    assert refused(service.root + "/a", trusting, deadline_s=0.3) == "no answer in time"
    assert time.monotonic() - began_s < 5.0


def test_one_that_drips_its_head_is_given_up(service: Service, trusting: ssl.SSLContext) -> None:
    def drip(to: BaseHTTPRequestHandler) -> None:
        while not service.over.wait(0.02):
            to.wfile.write(b"x")

    service.answers["/a"] = drip
    began_s = time.monotonic()
    assert refused(service.root + "/a", trusting, deadline_s=0.3) == "no answer in time"
    assert time.monotonic() - began_s < 5.0


def test_one_that_breaks_off_is_no_answer(service: Service, trusting: ssl.SSLContext) -> None:
    def half(to: BaseHTTPRequestHandler) -> None:
        to.send_response(200)
        to.send_header("Content-Length", "100")
        to.end_headers()
        to.wfile.write(b"ZZZZ 2513")

    service.answers["/a"] = half
    assert refused(service.root + "/a", trusting) in (
        "the connection broke off",
        "no safe connection",
    )


@pytest.mark.parametrize("body", [b"\xff\xfe\x00", bytes(range(128, 256))])
def test_what_is_no_text_is_refused(
    service: Service, trusting: ssl.SSLContext, body: bytes
) -> None:
    assert refused(service.says("/a", body), trusting) == "what came is no text"


def test_what_is_not_http_is_refused(service: Service, trusting: ssl.SSLContext) -> None:
    service.answers["/a"] = lambda to: to.wfile.write(b"220 ready\r\n") and None
    assert refused(service.root + "/a", trusting) == "what came is garbled"


@pytest.mark.parametrize(
    "address",
    ["http://localhost/a", "file:///etc/hostname", "ftp://localhost/a", "", "localhost/a"],
)
def test_anything_but_https_is_never_asked(address: str) -> None:
    assert refused(address, None).endswith("isn't https")


@pytest.mark.parametrize("address", ["https://", "https://a b/", f"https://{'a' * 70}.invalid/"])
def test_what_is_no_address_is_refused_without_a_bug(address: str) -> None:
    assert refused(address, None)


def test_where_nobody_listens_there_is_no_connection(trusting: ssl.SSLContext) -> None:
    service = Service()
    service.close()
    assert refused(service.root + "/a", trusting, timeout_s=1.0) == "no connection"


def test_plain_http_where_https_should_be_is_no_safe_connection(
    trusting: ssl.SSLContext,
) -> None:
    plain = Service(safe=False)
    try:
        address = plain.says("/a", b"x").replace("http://", "https://")
        assert refused(address, trusting) == "no safe connection"
        assert plain.asked == []
    finally:
        plain.close()
