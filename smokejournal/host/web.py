"""The one place that reaches into the network: a text from a https address, with bounds on everything."""

from __future__ import annotations

import http.client
import ssl
import threading
import time
import urllib.error
import urllib.request
from concurrent.futures import Future
from email.message import Message
from typing import IO

from smokejournal.cook.text.translate import translate
from smokejournal.cook.weather.by_network import NoReport

#: So long is waited for the next bytes, and for the whole answer [s].
TIMEOUT_S, DEADLINE_S = 10.0, 20.0
#: A report has some hundred letters; what is longer than this is none [bytes].
LARGEST = 64 * 1024
_MOST_MOVES = 3
_NAME = "smokejournal"


def fetch_text(
    address: str,
    context: ssl.SSLContext | None = None,
    timeout_s: float = TIMEOUT_S,
    deadline_s: float = DEADLINE_S,
) -> str:
    """What stands at this address. Slow: never on the thread that paints. Raises NoReport.

    It sends the address, this program's name, and nothing that was sent to it before (no cookies). The
    proxy that the system names is used. Each wait for bytes ends after `timeout_s`, all of it after
    `deadline_s`, also where a name can't be found or an answer comes letter by letter.
    """
    settled: Future[str] = Future()

    def fetch() -> None:
        try:
            settled.set_result(_fetch(address, context, timeout_s, time.monotonic() + deadline_s))
        except BaseException as problem:  # noqa: BLE001 - whoever asked is told
            settled.set_exception(problem)

    # What hangs is left to itself and dies with the program.
    threading.Thread(target=fetch, name="web", daemon=True).start()
    try:
        return settled.result(deadline_s)
    except TimeoutError:
        raise NoReport(_late()) from None


def _fetch(address: str, context: ssl.SSLContext | None, timeout_s: float, end_s: float) -> str:
    if not address.startswith("https://"):
        raise NoReport(_elsewhere())
    try:
        request = urllib.request.Request(
            address, headers={"User-Agent": _NAME, "Accept": "text/plain"}
        )
        with _opener(context).open(request, timeout=timeout_s) as answer:
            return _text(answer, end_s)
    except urllib.error.HTTPError as error:
        error.close()
        raise NoReport(
            translate("Web", "the service answers with error {code}").format(code=error.code)
        ) from None
    except urllib.error.URLError as error:
        raise NoReport(_why(error.reason)) from None
    except OSError as error:
        raise NoReport(_why(error)) from None
    except (http.client.HTTPException, ValueError):
        raise NoReport(translate("Web", "what came is garbled")) from None


def _text(answer: http.client.HTTPResponse, end_s: float) -> str:
    body = bytearray()
    while chunk := answer.read1(8192):
        body += chunk
        if len(body) > LARGEST:
            raise NoReport(translate("Web", "what came is too long for a report"))
        if time.monotonic() > end_s:
            raise NoReport(_late())
    if answer.length:
        raise NoReport(translate("Web", "the connection broke off"))
    try:
        return body.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise NoReport(translate("Web", "what came is no text")) from None


def _why(reason: object) -> str:
    if isinstance(reason, ssl.SSLCertVerificationError):
        return translate("Web", "the service's certificate can't be trusted")
    if isinstance(reason, TimeoutError):
        return _late()
    if isinstance(reason, ssl.SSLError):
        return translate("Web", "no safe connection")
    return translate("Web", "no connection")


def _late() -> str:
    return translate("Web", "no answer in time")


def _elsewhere() -> str:
    return translate("Web", "the service leads to an address that isn't https")


class _SafeMoves(urllib.request.HTTPRedirectHandler):
    """Follows a few moves, and only to https."""

    max_redirections = _MOST_MOVES

    def redirect_request(
        self,
        req: urllib.request.Request,
        fp: IO[bytes],
        code: int,
        msg: str,
        headers: Message,
        newurl: str,
    ) -> urllib.request.Request | None:
        # What stands beside a move is read to its end by the library, however long it is.
        fp.close()
        if not newurl.lower().startswith("https://"):
            raise NoReport(_elsewhere())
        return super().redirect_request(req, fp, code, msg, headers, newurl)  # type: ignore[arg-type]


def _opener(context: ssl.SSLContext | None) -> urllib.request.OpenerDirector:
    """What opens https and nothing else: no file, no plain http, no cookies."""
    opener = urllib.request.OpenerDirector()
    opener.addheaders = []
    for handler in (
        urllib.request.ProxyHandler(),
        urllib.request.HTTPSHandler(context=context or ssl.create_default_context()),
        urllib.request.UnknownHandler(),
        urllib.request.HTTPDefaultErrorHandler(),
        urllib.request.HTTPErrorProcessor(),
        _SafeMoves(),
    ):
        opener.add_handler(handler)
    return opener
