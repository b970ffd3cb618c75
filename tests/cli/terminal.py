"""What fl_terminal_* puts on a terminal, read back by a terminal emulator
that shares nothing with it: terminal.py SHOW_GRIDS REDRAWS

Exits with 77 where there is no emulator."""
import fcntl
import os
import pty
import select
import signal
import struct
import sys
import termios

try:
    import pyte
except ImportError:
    print("SKIPPED: python3-pyte is not installed")
    sys.exit(77)

KEY_ENTER, KEY_ESCAPE, KEY_BACKSPACE, _, KEY_LOST = range(0x110000, 0x110005)
PATIENCE = 20.0     # seconds until a test gives up: never reached when well


class Screen(pyte.Screen):
    """With DECAWM off a character in the last column leaves the cursor there,
    not beyond it (console_codes(4)); curses fills the last corner so."""

    def draw(self, data):
        super().draw(data)
        if pyte.modes.DECAWM not in self.mode:
            self.cursor.x = min(self.cursor.x, self.columns - 1)


class Shown:
    """The program on a terminal of its own, and what stands on that."""

    def __init__(self, program, columns, rows, kind="linux", locale="C.UTF-8",
                 contrast=()):
        self.screen = Screen(columns, rows)
        self.stream = pyte.ByteStream(self.screen)
        self.seen = b""
        self.records = b""
        self.deaf = False
        self.pipe, end = os.pipe()
        self.pid, self.master = pty.fork()
        if self.pid == 0:
            os.dup2(end, 3)
            os.environ.update(TERM=kind, LC_ALL=locale, TZ="UTC")
            for name in ("LINES", "COLUMNS"):
                os.environ.pop(name, None)
            sys.stdin.readline()        # the size is set before the start
            os.execv(program, [program, str(columns), *contrast])
        os.close(end)
        self.size(columns, rows)
        self.before = termios.tcgetattr(self.master)
        os.write(self.master, b"\n")

    def size(self, columns, rows):
        fcntl.ioctl(self.master, termios.TIOCSWINSZ,
                    struct.pack("HHHH", rows, columns, 0, 0))

    def read(self, wait=PATIENCE):
        """Take in what there is; False: nothing came."""
        files = [self.pipe] if self.deaf or self.master < 0 else [
            self.master, self.pipe]
        ready = select.select(files, [], [], wait)[0]
        for f in ready:
            try:
                got = os.read(f, 65536)
            except OSError:
                got = b""
            if f == self.pipe:
                self.records += got
            else:
                self.seen += got
                self.stream.feed(got)
            if not got:
                return False
        return bool(ready)

    def record(self):
        while b"\f" not in self.records:
            if not self.read():
                sys.exit("the program tells nothing more")
        text, self.records = self.records.split(b"\f", 1)
        return text.decode()

    def text(self):
        buffer = self.screen.buffer
        return "".join("".join(buffer[y][x].data for x in range(self.screen.columns))
                       + "\n" for y in range(self.screen.lines))

    def hold(self, expected, why):
        """The octets may still be on their way when the record is there."""
        while self.text() != expected:
            if not self.read(2.0):
                sys.exit(f"{why}: expected\n{expected}\nthere stands\n{self.text()}")

    def press(self, keys):
        os.write(self.master, keys)

    def end(self):
        while self.read(0.2):
            pass
        return os.waitpid(self.pid, 0)[1]

    def restored(self, why):
        now = termios.tcgetattr(self.master)
        if now != self.before:
            sys.exit(f"{why}: modes of the terminal are not what they were")


def begin(*arguments, **named):
    shown = Shown(*arguments, **named)
    if shown.record() != "open 0":
        sys.exit("not opened")
    return shown


def redraws(program, columns, rows, count):
    shown = begin(program, columns, rows)
    for i in range(count):
        shown.press(b" ")
        shown.hold(shown.record(), f"{columns}x{rows}, redraw {i}")
    shown.press(b"q")
    if shown.record() != f"key {ord('q')}" or shown.record() != "closed 1":
        sys.exit("q does not end it")
    if shown.end() != 0:
        sys.exit("it did not end well")
    shown.restored("after the end")


def emphasis(program):
    """Nothing is said by a colour; with high contrast nothing is faint, and
    each cell is bold."""
    for contrast in ((), ("high",)):
        shown = begin(program, 80, 24, contrast=contrast)
        looks = set()
        for i in range(20):
            shown.press(b" ")
            shown.hold(shown.record(), f"{contrast}, redraw {i}")
            for y in range(24):
                for x in range(80):
                    cell = shown.screen.buffer[y][x]
                    if (cell.fg, cell.bg) != ("default", "default"):
                        sys.exit(f"a colour: {cell}")
                    if cell.data != " ":
                        looks.add((cell.bold, cell.reverse))
        if contrast and (b"\x1b[2m" in shown.seen or b";2m" in shown.seen):
            sys.exit("faint, with high contrast")
        expected = {(True, False), (True, True)}
        if contrast and looks != expected:
            sys.exit(f"high contrast looks like {looks}")
        if not contrast and not looks > expected:
            sys.exit(f"emphasis looks like {looks}")
        shown.press(b"q")
        shown.end()


def keys(program):
    shown = begin(program, 80, 24)
    for octets, key in (("é".encode(), 0xe9), ("港".encode(), 0x6e2f),
                        ("📡".encode(), 0x1f4e1), (b"\r", KEY_ENTER),
                        (b"\x1b", KEY_ESCAPE), (b"\x7f", KEY_BACKSPACE),
                        (b"\x1b[A", None), (b"\x13", 0x13), (b"m", ord("m"))):
        shown.press(octets)
        if key is not None and shown.record() != f"key {key}":
            sys.exit(f"{octets}: another key was told")
    shown.press(b"b")
    if shown.record() != f"key {ord('b')}":
        sys.exit("b was not told")
    while b"\a" not in shown.seen:
        if not shown.read(2.0):
            sys.exit("no bell")
    for columns, rows in ((60, 20), (132, 43), (20, 5)):
        shown.screen.resize(rows, columns)
        shown.size(columns, rows)
        expected = shown.record()
        if len(expected.split("\n")) != rows + 1:
            sys.exit("it does not follow the size")
        shown.hold(expected, f"resized to {columns}x{rows}")
    shown.press(b"q")
    shown.end()


def lost(program):
    """A terminal that goes away is told, and ends nothing by itself."""
    shown = begin(program, 80, 24)
    shown.press(b" ")
    shown.record()
    os.close(shown.master)
    shown.master = -1
    if shown.record() != f"key {KEY_LOST}" or shown.record() != "closed 0":
        sys.exit("the loss is not told")
    if os.waitpid(shown.pid, 0)[1] != 0:
        sys.exit("it died of the loss")


def stalled(program):
    """A terminal that takes nothing stops nobody; when it takes again, it
    shows the newest grid whole."""
    shown = begin(program, 200, 60)
    shown.deaf = True
    for i in range(400):
        shown.press(b" ")
        shown.record()
    shown.deaf = False
    while shown.read(0.5):
        pass
    shown.press(b" ")
    shown.record()
    while shown.read(0.5):
        pass
    shown.press(b" ")
    shown.hold(shown.record(), "after a stall")
    shown.press(b"q")
    shown.end()


def died(program):
    """One that dies gives its terminal back first."""
    for way in (b"a", b"e", b"\x03", b"\x1c", signal.SIGSEGV, signal.SIGTERM):
        shown = begin(program, 80, 24)
        if isinstance(way, bytes):
            shown.press(way)
        else:
            os.kill(shown.pid, way)
        status = shown.end()
        if status == 0:
            sys.exit(f"{way}: ended well")
        shown.restored(f"{way}")
        if b"\x1b[?25h" not in shown.seen:      # terminfo(5) cnorm
            sys.exit(f"{way}: the cursor stays hidden")


def refused(program):
    # curses itself does not free what it took for a terminal it cannot drive.
    os.environ["ASAN_OPTIONS"] = "detect_leaks=0"
    for kind in ("dumb", "", "no-such-terminal"):
        shown = Shown(program, 80, 24, kind=kind)
        if os.WEXITSTATUS(shown.end()) != 2:
            sys.exit(f"TERM={kind} is taken")
    del os.environ["ASAN_OPTIONS"]


def narrow_locale(program):
    """Where the locale has no such character a mark stands in its place."""
    shown = begin(program, 80, 24, locale="C")
    for i in range(20):
        shown.press(b" ")
        expected = shown.record()
        wide = lambda c: "? " if c in "港한국📡" else "?" if ord(c) > 126 else c
        shown.hold("".join(wide(c) for c in expected), f"in C, redraw {i}")
    shown.press(b"q")
    shown.end()


if __name__ == "__main__":
    program, count = sys.argv[1], int(sys.argv[2])
    for size in ((60, 20), (80, 24), (200, 60)):
        redraws(program, *size, count)
    emphasis(program)
    keys(program)
    stalled(program)
    lost(program)
    died(program)
    refused(program)
    narrow_locale(program)
    print(f"3 sizes, {count} redraws each, keys, loss, death: as it must be")
