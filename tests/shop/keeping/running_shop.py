"""A shop started as its owner starts it: another process, a folder, a port."""

import http.cookiejar
import os
import re
import signal
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
from pathlib import Path
from types import TracebackType

from shop import environment

ROOT = Path(environment.__file__).parents[1]
PROFILE = {
    "name": "Saltmarsh Lane Turnery",
    "currency": "USD",
    "length_unit": "mm",
    "paper": "letter",
    "time_zone": "America/New_York",
    "username": "turner",
    "password": "a plain ash bowl",
    "password_again": "a plain ash bowl",
}


def bare_environment(**more: str) -> dict[str, str]:
    """Return this machine's environment without any of our variables."""
    ours = {*environment.VARIABLES, "DJANGO_SETTINGS_MODULE"}
    return {name: value for name, value in os.environ.items() if name not in ours} | more


def command(*arguments: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run `manage.py` to its end."""
    return subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), *arguments],
        capture_output=True,
        text=True,
        timeout=180,
        check=False,
        cwd=ROOT.parent,
        env=bare_environment(**more),
    )


class RunningShop:
    """`manage.py start` on a folder, from when it says where it is until the block's end."""

    def __init__(self, data: Path, *arguments: str, **more: str) -> None:
        port = [] if "--port" in arguments else ["--port", "0"]
        around = bare_environment(**more)
        if "--demo" in arguments:  # writing it while coverage is measured takes twice as long
            around = {k: v for k, v in around.items() if not k.startswith("COVERAGE_PROCESS")}
        self.process = subprocess.Popen(
            [sys.executable, "manage.py", "start", "--data", str(data), *port, *arguments],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env=around,
        )
        self.said: list[str] = []
        self.complained: list[str] = []
        self._readers = [
            threading.Thread(target=self._read, args=(self.process.stdout, self.said)),
            threading.Thread(target=self._read, args=(self.process.stderr, self.complained)),
        ]
        for reader in self._readers:
            reader.start()

    def __enter__(self) -> "RunningShop":
        until = time.monotonic() + 120
        while not any("Ctrl-C" in line for line in self.said):
            if self.process.poll() is not None or time.monotonic() > until:
                self.__exit__(None, None, None)
                raise AssertionError(f"It did not start: {self.said} {self.complained}")
            time.sleep(0.02)
        self.origin = self.found(r"is open at (\S+)/ ")
        self.browser = urllib.request.build_opener(
            urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
        )
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            try:
                self.process.wait(40)
            except subprocess.TimeoutExpired:
                self.process.kill()
        self.process.wait()
        for reader in self._readers:
            reader.join()
        for stream in (self.process.stdout, self.process.stderr):
            assert stream is not None
            stream.close()

    def found(self, pattern: str) -> str:
        """Return the first group of `pattern` in what the shop has said."""
        found = re.search(pattern, "\n".join(self.said))
        assert found, self.said
        return found.group(1)

    @property
    def link(self) -> str:
        """The link printed to get in by."""
        return self.found(r"\n\s+(http\S+)")

    def fetch(self, path: str) -> bytes:
        """Return what stands at an address."""
        with self.browser.open(urllib.parse.urljoin(self.origin, path), timeout=60) as answer:
            return bytes(answer.read())

    def get(self, path: str) -> str:
        """Return a page's text."""
        return self.fetch(path).decode()

    def status(self, path: str) -> int:
        """Return a page's status."""
        try:
            with self.browser.open(urllib.parse.urljoin(self.origin, path), timeout=60) as answer:
                return int(answer.status)
        except urllib.error.HTTPError as error:
            with error:
                return error.code

    def send(self, path: str, **typed: str) -> tuple[str, str]:
        """Fill in the form at `path`; return the address it led to and the page's text."""
        form = self.get(path)
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', form)
        assert token
        sent = urllib.parse.urlencode({**typed, "csrfmiddlewaretoken": token.group(1)})
        address = urllib.parse.urljoin(self.origin, path)
        with self.browser.open(address, sent.encode(), timeout=60) as answer:
            return answer.url, answer.read().decode()

    def stop(self, number: int = signal.SIGTERM) -> int:
        """End it, and return its exit code."""
        self.process.send_signal(number)
        return self.process.wait(40)

    def _read(self, stream: object, lines: list[str]) -> None:
        for line in stream:  # type: ignore[attr-defined]
            lines.append(line.rstrip("\n"))
