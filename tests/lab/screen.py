"""fairlead listen on a terminal of its own, in the boat that a script beside
this one has made: screen.py CASE FAIRLEAD, run in the laptop's namespace.

What stands on the terminal is read back by an emulator, which shares nothing
with the program. Exits with 77 where there is none."""
import fcntl
import json
import os
import pty
import random
import re
import select
import signal
import socket
import struct
import subprocess
import sys
import termios
import time

sys.path.insert(0, os.path.join(os.path.dirname(__file__), "..", "cli"))
from terminal import Screen, pyte

PATIENCE = 20.0     # seconds until a test gives up: never reached when well
KEYS = "m mark  n next device  w work on/off  q quit"
HEADLINE = "RADAR IS MISSING."
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
            os.execv(sys.argv[2], [sys.argv[2], "listen", "--port", "e0",
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
        """Its lines; none is torn, none lacks, and it can be read."""
        text = open(self.visit + "/journal.jsonl", encoding="utf-8").read()
        if not text.endswith("\n"):
            self.fail("the journal is torn")
        read = subprocess.run([sys.argv[2], "read", "--visit", self.visit],
                              capture_output=True, text=True, check=False)
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


# ---- what must stand there ----

def top(rows):
    return any(row.startswith(HEADLINE) for row in rows[:3])


def line_of(rows, device):
    return [row for row in rows if re.match("[> ] %s  " % device, row)]


# States and ages as fairlead(1) has them.
LINES = {
    "radar": r"fell silent, last heard \d+ s ago",
    "sounder": r"heard without a gap(, last heard (just now|\d+ s ago))?",
    "display": r"heard without a gap(, last heard (just now|\d+ s ago))?",
}
MORE = r"(, away once)?(, heard \d+ of \d+ due)?"


def check_whole(listen, headline=True):
    """No row holds anything that is no text or begins in the midst of a
    sequence; first row, headline, devices and keys are what they must be."""
    rows = listen.rows()
    for row in rows:
        if not row.isprintable() or re.search(r"\ufffd|\[\??\d*[;\d]*[A-Za-ln-z]\b", row):
            listen.fail("no text: %r" % row)
    if not re.search(r" \d\d:\d\d:\d\d$", rows[0]):
        listen.fail("no clock at the right")
    if len(rows[0]) != listen.screen.columns:
        listen.fail("the clock is not at the right edge")
    if headline and not top(rows):
        listen.fail("the headline is not on top")
    for device, words in LINES.items():
        lines = line_of(rows, device)
        if len(lines) != 1 or (headline and not re.fullmatch(
                "[> ] %s +%s%s" % (device, words, MORE), lines[0])):
            listen.fail("the line of the %s is not whole: %s" % (device, lines))
    if rows[-1] != KEYS:
        listen.fail("the keys are not in the last row")


def masked(rows):
    """Without what goes on by itself: the clock and seconds."""
    return [re.sub(" +", " ", re.sub(r"just now|\d+( min \d+)? s( ago)?|\d+", "0", row))
            for row in rows]


# ---- what stands there, each key, each end ----

def endings():
    """Each way to end, while nothing is wrong."""
    ways = {name: Listen(name, kind="xterm-256color")
            for name in ("quit", "term", "hup", "closed")}
    high = Listen("high", "--contrast", "high", NO_COLOR="1")
    for listen in (*ways.values(), high):
        listen.until("heard", lambda r: all(line_of(r, d) for d in LINES))
    rest(3)
    check_whole(high, headline=False)
    if re.search(rb"\x1b\[[\d;]*\b[34]\d\b[\d;]*m", high.seen):
        high.fail("a colour, though NO_COLOR is set")
    high.press("q")
    high.ends(0)
    ways["quit"].press("q")
    os.kill(ways["term"].pid, signal.SIGTERM)
    os.kill(ways["hup"].pid, signal.SIGHUP)
    for name in ("quit", "term", "hup"):
        ways[name].ends(0, 5)
        ways[name].given_back()
        ways[name].journal()
        if not ways[name].behind().endswith(ways[name].again):
            ways[name].fail("the answer is not behind the screen, but: "
                            + ways[name].behind())
    closed = ways["closed"]
    terminals.remove(closed)
    os.close(closed.master)
    if closed.end(5) > 1:
        closed.fail("it ended as if nothing had been heard")
    closed.journal()


def marks(listen):
    """Every key of fairlead-listen(1), and SIGUSR2."""
    listen.press_until("mseated the plug é港\r", "the mark",
                       lambda r: any("mark: seated the plug é港" in row for row in r))
    listen.press_until("mdropped", "what is typed",
                       lambda r: r[-1].startswith("mark: dropped_"))
    listen.press_until(ESCAPE, "the keys again", lambda r: r[-1] == KEYS)
    listen.press_until("mxé\x7f\x7fy\r", "the second mark",
                       lambda r: any(row.endswith("mark: y") for row in r))
    listen.press_until("m\r", "a mark without text",
                       lambda r: any(row.endswith(" mark") for row in r))
    work = lambda r: any("Work is on" in row for row in r)
    listen.press_until("w", "work is on", work)
    listen.press_until("w", "work is off", lambda r: not work(r))
    for device in ("radar", "sounder", "display", None):
        listen.press_until("n", "> at %s" % device, lambda r:
                           [row.split()[1] for row in r if row.startswith("> ")]
                           == ([device] if device else []))
    os.kill(listen.pid, signal.SIGUSR2)
    listen.until("two marks without text", lambda r:
                 sum(row.endswith(" mark") for row in r) == 2, 5)


def resizes(listen):
    for size in ((60, 20), (132, 43), (80, 24)):
        listen.resize(*size)
        listen.until("all of it at %dx%d" % size,
                     lambda r: top(r) and r[-1] == KEYS, 5)
        check_whole(listen)
    listen.resize(40, 10)
    listen.until("a small screen's words", lambda r:
                 r[0] == "Make the window larger: 60 x 20." and
                 r[1].startswith(HEADLINE), 5)
    listen.resize(80, 24)
    listen.until("all of it", lambda r: top(r) and r[-1] == KEYS, 5)


def sizes():
    usual = Listen("usual")
    listens = [usual, Listen("small", size=(60, 20)), Listen("large", size=(200, 60))]
    endings()
    for listen in listens:
        listen.until("a device", lambda r: line_of(r, "radar"))
    marks(usual)
    rest(5)
    plug_of("radar", "down")
    for listen in listens:
        listen.until(HEADLINE, top, 40)
    rest(1.2)
    for listen in listens:
        check_whole(listen)
    resizes(usual)
    for listen in listens:
        listen.press("q")
        listen.ends(1)
    hands = [(line["act"], line.get("text", "")) for line in usual.journal()
             if line.get("kind") == "hand"]
    expected = [("mark", "seated the plug é港"), ("mark", "y"), ("mark", ""),
                ("work", "on"), ("work", "off"), ("mark", "")]
    if hands != expected:
        usual.fail("hands in the journal: %s" % hands)
    for listen in listens:
        listen.journal()
        if not listen.seen.decode().replace("\r", "").endswith(listen.again):
            listen.fail("the whole answer is not printed after the screen")
    print("three sizes, each key, five ends: as it must be")


# ---- redraws without number ----

THERE = ((81, 24), (60, 20), (80, 25), (132, 43), (79, 30))
WORDS = ("plug", "é", "港の電波", "lower switch port 3 ", "m", "한국 ", "x" * 70)


def one_round(listen, chance, round_number):
    """Something happens and is drawn with few cells; then all is drawn anew,
    into nothing. The last row is drawn last, so what is typed there says that
    the rest stands. Returns both screens."""
    columns, rows = listen.screen.columns, listen.screen.lines
    typed = "%d%s" % (round_number, chance.choice(WORDS))
    shown = lambda r: r[-1].startswith("mark: ") and "_   Enter" in r[-1] and \
        (typed[-8:] + "_ ") in r[-1]
    listen.press_until(chance.choice(("", "n", "w", "nn")) + "m" + typed,
                       typed, shown)
    before = listen.rows()
    listen.resize(*chance.choice(THERE))
    listen.until("it follows the size", shown, 5)
    listen.resize(columns, rows)
    listen.until("it comes back", shown, 5)
    after = listen.rows()
    listen.press_until(chance.choice(("\r", ESCAPE)), "the keys again",
                       lambda r: r[-1] == KEYS)
    return before, after


def rounds_of_second(listen, chance, done):
    """Between two moments at which a second is told, which show by themselves.
    Returns how many screens were compared, and how many were equal outright."""
    count = same = 0
    while pump(0.02):
        pass
    while not pump(1):
        pass
    told = time.monotonic()
    while time.monotonic() - told < 0.6:
        before, after = one_round(listen, chance, done + count)
        if time.monotonic() - told > 0.95:
            break
        if any("something in 1 s" in row for row in before):
            continue                # that ends between two seconds too
        if masked(before) != masked(after):
            listen.fail("it was another screen before:\n" + "\n".join(before))
        count += 1
        same += before == after
    return count, same


def redraws():
    listen, chance, out = Listen("redraws"), random.Random(7), set()
    total = total_same = 0
    listen.until("a device", lambda r: line_of(r, "radar"))
    for size in ((80, 24), (60, 20), (200, 60)):
        listen.resize(*size)
        listen.until("all of it", lambda r: r[-1] == KEYS, 5)
        done, end = 0, time.monotonic() + 12
        while time.monotonic() < end:
            if chance.random() < 0.4:
                name = chance.choice(("radar", "camera", "sounder", "display"))
                plug_of(name, "up" if name in out else "down")
                out ^= {name}
            count, same = rounds_of_second(listen, chance, done)
            done, total_same = done + count, total_same + same
        if done < ROUNDS:
            listen.fail("only %d rounds at %dx%d" % (done, *size))
        total += done
    if total_same < total / 2:
        listen.fail("only %d of %d equal to the second" % (total_same, total))
    listen.press("q")
    if listen.end() > 1:
        listen.fail("it did not end well")
    listen.journal()
    print("%d screens, each drawn four times: %d the same to the second, "
          "all but for seconds" % (total, total_same))


ROUNDS = 45         # at each size at least, of four redraws each


# ---- both hands at a plug ----

RTMGRP_LINK, RTM_NEWLINK, IFF_RUNNING = 1, 16, 0x40


class Kernel:
    """When the kernel says that e0 has no link, by rtnetlink(7)."""

    def __init__(self):
        self.socket = socket.socket(socket.AF_NETLINK, socket.SOCK_RAW, 0)
        self.socket.bind((0, RTMGRP_LINK))
        self.index, self.had, self.losses = socket.if_nametoindex("e0"), True, []
        terminals.insert(0, self)

    def fileno(self):
        return self.socket.fileno()

    def take(self):
        now, octets = time.monotonic(), self.socket.recv(65536)
        while len(octets) >= 32:
            length, kind = struct.unpack_from("=IH", octets)
            index, flags = struct.unpack_from("=iI", octets, 20)
            if kind == RTM_NEWLINK and index == self.index:
                has = bool(flags & IFF_RUNNING)
                if self.had and not has:
                    self.losses.append(now)
                self.had = has
            octets = octets[(length + 3) & ~3:]


def letters(rows):
    """Strokes in the first row of large letters: 6 of HEARD, 4 of LOST."""
    drawn = [row for row in rows if row.strip() and not row.strip(" #")]
    return len(drawn[0].split()) if drawn else 0


def own_link():
    """The bell rings within 0.2 s of the kernel's word, which comes at most
    once a second."""
    kernel, chance = Kernel(), random.Random(7)
    listen = Listen("link", "--wiggle", "link")
    listen.until("it is heard", lambda r: any("Never lost." in row for row in r))
    for pull in range(10):
        rest(1.2 + chance.random() * 0.6)
        plug_of("laptop", "down")
        rest(1.3)
        plug_of("laptop", "up")
    listen.until("ten losses", lambda r: any("Lost 10 times" in row for row in r))
    rest(1)
    late = [bell - loss for bell, loss in zip(listen.bells, kernel.losses)]
    told = ", ".join("%.0f" % (1000 * x) for x in late)
    if len(listen.bells) != 10 or len(kernel.losses) != 10:
        listen.fail("%d bells for %d losses" % (len(listen.bells), len(kernel.losses)))
    if not all(-0.05 < x < 0.2 for x in late):
        listen.fail("bells came so many ms late: " + told)
    listen.press("q")
    if listen.end() > 1:
        listen.fail("it did not end well")
    listen.journal()
    print("ten losses, ten bells, so many ms after the kernel's word: " + told)


def device():
    """Of two who watch the radar's plug one hears a tick too."""
    plain = Listen("plain", "--wiggle", "radar")
    ticking = Listen("ticking", "--wiggle", "radar", "--tick")
    both = (plain, ticking)
    heard = lambda r: letters(r) == 6 and any(row.startswith("Heard for") for row in r)
    lost = lambda r: letters(r) == 4 and any(row.startswith("Lost for") for row in r)
    for listen in both:
        listen.until("it is heard", heard)
    rest(12)
    if plain.bells:
        plain.fail("a bell, though nothing was lost")
    for time_of in (1, 2):
        ticks = len(ticking.bells)
        rest(5)
        if not 4 <= len(ticking.bells) - ticks <= 6:
            ticking.fail("%d ticks in 5 s" % (len(ticking.bells) - ticks))
        pulled = time.monotonic()
        plug_of("radar", "down")
        for listen in both:
            listen.until("LOST", lost, max(0.01, pulled + 1.5 - time.monotonic()))
        rest(0.2)
        ticks = len(ticking.bells)
        rest(2.5)
        if len(plain.bells) != time_of:
            plain.fail("%d bells, lost %d times" % (len(plain.bells), time_of))
        if len(ticking.bells) != ticks:
            ticking.fail("it ticks while the radar is lost")
        plug_of("radar", "up")
        for listen in both:
            listen.until("HEARD", heard, 3)
            counted = "Lost %d time%s" % (time_of, "s" if time_of > 1 else "")
            listen.until(counted, lambda r: any(counted in row for row in r), 1)
    bells = len(plain.bells)
    plug_of("laptop", "down")
    no_link = lambda r: any("The laptop's own link is down. Lost 2 times" in row
                            for row in r)
    for listen in both:
        listen.until("NO LINK", no_link, 2)
    rest(0.2)
    ticks = len(ticking.bells)
    rest(2.5)
    if len(plain.bells) != bells + 1 or len(ticking.bells) != ticks:
        plain.fail("it does not ring once for the own link, or it ticks")
    plug_of("laptop", "up")
    for listen in both:
        listen.until("HEARD", heard, 3)
    plain.press_until(" ", "a mark", lambda r: any(row.endswith(" mark") for row in r))
    for listen in both:
        listen.press("q")
        if listen.end() > 1:
            listen.fail("it did not end well")
        listen.journal()
        said = " ".join(listen.again.split())
        if "watched at the plug, radar was lost 2 times" not in said:
            listen.fail("the answer does not say so: " + listen.again)
    if [line["act"] for line in plain.journal() if line.get("kind") == "hand"] != ["mark"]:
        plain.fail("the mark is not in the journal")
    print("lost twice, two bells; it ticks while it is heard")


def main():
    cases = {"sizes": sizes, "redraws": redraws, "own_link": own_link,
             "device": device}
    try:
        cases[sys.argv[1]]()
    finally:
        for listen in terminals:
            os.close(listen.fileno())


main()
