"""A real browser for tests: Chromium without a window, driven over a pipe by its DevTools protocol.

Requests and answers are JSON texts ended by a zero byte, on the descriptors 3 and 4 of the browser; no socket is
opened.
"""

import json
import os
import select
import subprocess
from base64 import b64decode
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from fcntl import F_DUPFD_CLOEXEC, fcntl
from pathlib import Path
from shutil import which
from tempfile import TemporaryDirectory
from time import monotonic
from typing import Any, Self

PATIENCE = 60.0  # seconds that an answer may take on a machine shared by many
FLAGS = (
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-extensions",
    "--host-resolver-rules=MAP * ~NOTFOUND", "--remote-debugging-pipe", "--window-size=1400,1000",
)  # fmt: skip
NAMED = {"Escape": 27, "Enter": 13, "Tab": 9, "ArrowDown": 40, "ArrowUp": 38, " ": 32}


def program() -> str | None:
    """The browser of this machine."""
    return which("chromium") or which("chromium-browser")


class BrowserError(RuntimeError):
    """The browser answered with an error, or not at all."""


class Browser:
    """One process of the browser with one page."""

    def __init__(self, room: Path) -> None:
        self._asked = 0
        self._rest = b""
        self.events: list[dict[str, Any]] = []
        asked, self._write = os.pipe()
        self._read, answered = os.pipe()
        # Out of the way of 3 and 4, which the protocol names and which may be any end of the two pipes.
        asked_high, answered_high = (fcntl(one, F_DUPFD_CLOEXEC, 100) for one in (asked, answered))

        def numbered() -> None:  # in the child
            os.dup2(asked_high, 3)
            os.dup2(answered_high, 4)

        name = program()
        assert name
        self._process = subprocess.Popen(
            [name, *FLAGS, f"--user-data-dir={room}"],
            preexec_fn=numbered,  # noqa: PLW1509 - no thread runs in the test process
            close_fds=False,
            env={**os.environ, "HOME": str(room), "DBUS_SESSION_BUS_ADDRESS": "disabled:"},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        for one in (asked, answered, asked_high, answered_high):
            os.close(one)

    def send(self, method: str, session: str = "", **params: Any) -> dict[str, Any]:
        """Ask for something and wait for the answer; what else arrives is kept in `events`."""
        asked = self._post(method, session, params)
        while True:
            found = self._message()
            if found.get("id") == asked:
                if "error" in found:
                    message = f"{method}: {found['error']}"
                    raise BrowserError(message)
                return dict(found["result"])
            self.events.append(found)
            if found.get("method") == "Page.javascriptDialogOpening":  # it asks whether to leave the page: yes
                self._post("Page.handleJavaScriptDialog", found["sessionId"], {"accept": True})

    def _post(self, method: str, session: str, params: Mapping[str, Any]) -> int:
        self._asked += 1
        text = {"id": self._asked, "method": method, "params": params} | ({"sessionId": session} if session else {})
        left = json.dumps(text).encode() + b"\0"
        while left:
            left = left[os.write(self._write, left) :]
        return self._asked

    def _message(self) -> dict[str, Any]:
        end = monotonic() + PATIENCE
        while b"\0" not in self._rest:
            ready, _, _ = select.select([self._read], [], [], max(0.0, end - monotonic()))
            part = os.read(self._read, 1 << 20) if ready else b""
            if not part:
                message = "the browser does not answer"
                raise BrowserError(message)
            self._rest += part
        text, _, self._rest = self._rest.partition(b"\0")
        return dict(json.loads(text))

    def close(self) -> None:
        """End the process."""
        self._process.terminate()
        try:
            self._process.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        os.close(self._read)
        os.close(self._write)


class Page:
    """A page in a browser."""

    def __init__(self, browser: Browser, downloads: Path) -> None:
        self.browser, self.downloads = browser, downloads
        self._target = browser.send("Target.createTarget", url="about:blank")["targetId"]
        self._session = browser.send("Target.attachToTarget", targetId=self._target, flatten=True)["sessionId"]
        for part in ("Page", "Runtime", "Network", "Log"):
            self.send(f"{part}.enable")
        browser.send("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(downloads), eventsEnabled=True)

    def forget(self) -> None:
        """Take away what the page keeps in the browser, so that the next test need not load its own page twice."""
        self.run("location.protocol === 'file:' && localStorage.clear()")

    def close(self) -> None:
        """Close the page; what it still keeps in the browser goes with the browser."""
        self.browser.send("Target.closeTarget", targetId=self._target)

    def send(self, method: str, **params: Any) -> dict[str, Any]:
        """Ask the page for something."""
        return self.browser.send(method, self._session, **params)

    def open(self, path: Path) -> Self:
        """Load a file and wait until its script has run."""
        self.browser.events.clear()
        self.send("Page.navigate", url=path.as_uri())
        return self._loaded()

    def reload(self) -> Self:
        """Load the page again."""
        self.run("delete document.documentElement.dataset.ready")
        self.browser.events.clear()
        self.send("Page.reload")
        return self._loaded()

    def _loaded(self) -> Self:
        self.wait("document.readyState === 'complete' && document.documentElement.dataset.ready === 'yes'")
        return self

    def run(self, script: str) -> Any:
        """The value of an expression in the page."""
        found = self.send("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in found:
            raise BrowserError(json.dumps(found["exceptionDetails"]))
        return found["result"].get("value")

    def wait(self, condition: str) -> None:
        """Wait until an expression is true."""
        end = monotonic() + PATIENCE
        while monotonic() < end:
            try:
                if self.run(f"Boolean({condition})"):
                    return
            except BrowserError as error:
                if "navigated" not in str(error) and "context" not in str(error):
                    raise  # anything else than that the page is being left
        message = f"never true: {condition}; {self.complaints()}"
        raise BrowserError(message)

    def press(self, *keys: str) -> None:
        """Press keys as a keyboard does."""
        for key in keys:
            code = NAMED.get(key, ord(key[0].upper()))
            text = {"Enter": "\r"}.get(key, key if len(key) == 1 else "")
            more = {"key": key, "windowsVirtualKeyCode": code, "code": key if len(key) > 1 else ""}
            self.send("Input.dispatchKeyEvent", type="keyDown" if text else "rawKeyDown", text=text, **more)
            self.send("Input.dispatchKeyEvent", type="keyUp", **more)

    def type(self, text: str) -> None:
        """Put text into the field which has the focus."""
        self.send("Input.insertText", text=text)

    def click(self, selector: str) -> None:
        """Click the middle of an element, of its first line where it wraps."""
        # Rows take their own height as they come into view: it lies where it is once it has stayed there.
        found = self.run(
            f"(async () => {{ const one = document.querySelector({json.dumps(selector)}); let stayed = 0, last;"
            " while (stayed < 5) { one.scrollIntoView({block: 'center'}); await new Promise(requestAnimationFrame);"
            " const {x, y} = one.getClientRects()[0]; stayed = last === `${x} ${y}` ? stayed + 1 : 0;"
            " last = `${x} ${y}`; } const box = one.getClientRects()[0];"
            " return [box.x + box.width / 2, box.y + box.height / 2]; })()"
        )
        for kind in ("mousePressed", "mouseReleased"):
            self.send("Input.dispatchMouseEvent", type=kind, x=found[0], y=found[1], button="left", clickCount=1)

    def choose(self, selector: str, value: str) -> None:
        """Choose an option as a person does who changes a list."""
        self.run(
            f"(() => {{ const one = document.querySelector({json.dumps(selector)}); one.value = {json.dumps(value)};"
            " one.dispatchEvent(new Event('change', {bubbles: true})); })()"
        )

    def give_file(self, selector: str, path: Path) -> None:
        """Put a file into a file field."""
        root = self.send("DOM.getDocument")["root"]["nodeId"]
        node = self.send("DOM.querySelector", nodeId=root, selector=selector)["nodeId"]
        self.send("DOM.setFileInputFiles", nodeId=node, files=[str(path)])

    def downloaded(self) -> Path:
        """The only finished download: its file is there, and empty, before it is written."""
        end = monotonic() + PATIENCE
        while monotonic() < end:
            self.run("1")
            done = any(
                event.get("method") == "Browser.downloadProgress" and event["params"]["state"] == "completed"
                for event in self.browser.events
            )
            found = [path for path in self.downloads.iterdir() if path.suffix == ".json"]
            if done and found:
                return found[0]
        message = "nothing was downloaded"
        raise BrowserError(message)

    def complaints(self) -> list[str]:
        """Errors and warnings of the page since it was opened."""
        return [
            json.dumps(event["params"])[:600]
            for event in self.browser.events
            if event.get("method") == "Runtime.exceptionThrown"
            or (event.get("method") == "Log.entryAdded" and event["params"]["entry"]["level"] in {"error", "warning"})
        ]

    def requests(self) -> list[str]:
        """Addresses that the page asked for since it was opened, but for data in itself."""
        return [
            event["params"]["request"]["url"]
            for event in self.browser.events
            if event.get("method") == "Network.requestWillBeSent"
        ]

    def picture(self, width: int = 1400, height: int = 1000) -> bytes:
        """What the page looks like, as PNG."""
        self.send("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False)
        return b64decode(self.send("Page.captureScreenshot")["data"])

    def printed(self) -> bytes:
        """The page as it prints, as PDF."""
        return b64decode(self.send("Page.printToPDF", preferCSSPageSize=True)["data"])


@contextmanager
def browser() -> Iterator[Browser]:
    """A browser with a profile of its own."""
    with TemporaryDirectory(prefix="browser-", ignore_cleanup_errors=True) as room:
        made = Browser(Path(room))
        try:
            yield made
        finally:
            made.close()
