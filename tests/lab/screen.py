"""fairlead listen on a terminal of its own, in the laptop's namespace of a boat
that boat.sh has made: for the files beside this one, which on_screen of boat.sh
calls with the program's path.

What stands on the terminal is read back by an emulator, which shares nothing
with the program."""
import fcntl
import json
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import time

sys.path.insert(0, os.path.join(os.path.dirname(__file__), "..", "cli"))
from terminal import Screen, pyte

PATIENCE = 20.0     # seconds until a test gives up: never reached when well
KEYS = "m mark  n next device  w work on/off  q quit"
ESCAPE = b"\x1b"
BELL = b"\a"
terminals = []


def pump(wait=0.1):
    """Take in what there is at all terminals; False: nothing came."""
    ready = select.select(terminals, [], [], wait)[0]
    for terminal in ready:
        terminal.take()
    return bool(ready)


def rest(seconds):
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        pump(min(0.1, max(0, until - time.monotonic())))


def plug_of(name, way):
    """At the switch: "up" or "down"."""
    subprocess.run(["ip", "-n", "switch", "link", "set", "p-" + name, way],
                   check=True)


class Listen:
    """The program, and the terminal that it is on."""

    def __init__(self, name, *options, size=(80, 24), kind="linux", **environ):
        self.name, self.visit = name, "visit-" + name
        self.seen, self.bells = b"", []
        self.fresh(*size)
        self.pid, self.master = pty.fork()
        if self.pid == 0:
            os.environ.update(TERM=kind, LC_ALL="C.UTF-8", TZ="UTC", **environ)
            for variable in ("LINES", "COLUMNS"):
                os.environ.pop(variable, None)
            sys.stdin.readline()        # the size is set before the start
            os.execv(sys.argv[1], [sys.argv[1], "listen", "--port", "e0",
                     "--plan", "plan.ini", "--visit", self.visit, "--for", "3m", *options])
        self.set_size(*size)
        self.before = termios.tcgetattr(self.master)
        os.write(self.master, b"\n")
        terminals.append(self)

    def fileno(self):
        return self.master

    def fresh(self, columns, rows):
        """Nothing stands there any more."""
        self.screen = Screen(columns, rows)
        self.stream = pyte.ByteStream(self.screen)

    def set_size(self, columns, rows):
        fcntl.ioctl(self.master, termios.TIOCSWINSZ,
                    struct.pack("HHHH", rows, columns, 0, 0))

    def resize(self, columns, rows):
        """What is not drawn anew is missing from then on. Nobody is told of a
        size that stays (tty_ioctl(4))."""
        if (columns, rows) == (self.screen.columns, self.screen.lines):
            return
        self.fresh(columns, rows)
        self.set_size(columns, rows)

    def take(self):
        try:
            got = os.read(self.master, 65536)
        except OSError:
            got = b""
        if not got:
            terminals.remove(self)
        self.bells += [time.monotonic()] * got.count(BELL)
        self.seen += got
        self.stream.feed(got)

    def rows(self):
        buffer = self.screen.buffer
        return ["".join(buffer[y][x].data for x in range(self.screen.columns))
                .rstrip() for y in range(self.screen.lines)]

    def fail(self, why):
        sys.exit("FAILED: %s: %s\n%s" % (self.name, why, "\n".join(self.rows())))

    def until(self, what, holds, patience=PATIENCE):
        """Until the rows on the screen hold that."""
        end = time.monotonic() + patience
        while not holds(self.rows()):
            if time.monotonic() > end:
                self.fail("not within %g s: %s" % (patience, what))
            pump()

    def press(self, keys):
        os.write(self.master, keys.encode() if isinstance(keys, str) else keys)

    def press_until(self, keys, what, holds):
        self.press(keys)
        self.until(what, holds, 5)

    def end(self, patience=PATIENCE):
        """How it ended; what it still puts out is taken."""
        end = time.monotonic() + patience
        while True:
            pump(0.05)
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                break
            if time.monotonic() > end:
                os.kill(self.pid, signal.SIGKILL)
                self.fail("it does not end")
        while self in terminals and pump(0.05):
            pass
        if os.WIFSIGNALED(status):
            self.fail("it died of signal %d" % os.WTERMSIG(status))
        return os.WEXITSTATUS(status)

    def ends(self, status, patience=PATIENCE):
        ended = self.end(patience)
        if ended != status:
            self.fail("ended with %d in place of %d" % (ended, status))

    def journal(self):
        """Its lines; none is torn, none lacks, and it can be read: `again` is the
        answer as wide as this terminal."""
        text = open(self.visit + "/journal.jsonl", encoding="utf-8").read()
        if not text.endswith("\n"):
            self.fail("the journal is torn")
        read = subprocess.run([sys.argv[1], "read", "--visit", self.visit],
                              capture_output=True, text=True, check=False,
                              env=dict(os.environ, COLUMNS=str(self.screen.columns)))
        if read.returncode > 1 or read.stderr:
            self.fail("the visit is not read: %s" % read.stderr)
        self.again = read.stdout
        return [json.loads(line) for line in text.splitlines()]

    def given_back(self):
        """terminfo(5): rmcup and cnorm of this terminal, each after what it
        takes back, and the modes of termios(3)."""
        for begin, end in ((b"\x1b[?1049h", b"\x1b[?1049l"),
                           (b"\x1b[?25l", b"\x1b[?25h")):
            if not -1 < self.seen.rfind(begin) < self.seen.rfind(end):
                self.fail("the terminal is not given back: %r" % end)
        if termios.tcgetattr(self.master) != self.before:
            self.fail("the terminal's modes are not what they were")

    def behind(self):
        """What it put out when it had left the screen."""
        return self.seen[self.seen.rfind(b"\x1b[?1049l"):].decode().replace("\r", "")


def line_of(rows, device):
    return [row for row in rows if row[1:].startswith(" %s  " % device)]


def run(case):
    """The terminals are closed, and so the programs ended, whatever comes."""
    try:
        case()
    finally:
        for terminal in terminals:
            os.close(terminal.fileno())
