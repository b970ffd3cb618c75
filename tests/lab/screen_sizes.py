"""What stands on the screen at three sizes while the radar is pulled, what each
key does, and how it ends. See screen.py."""
import os
import re
import signal

from screen import ESCAPE, KEYS, Listen, line_of, plug_of, rest, run, terminals

HEADLINE = "RADAR IS MISSING."


# ---- what must stand there ----

def top(rows):
    return any(row.startswith(HEADLINE) for row in rows[:3])


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


run(sizes)
