"""The radar's plug under somebody's hands. See screen.py."""
import os
import re
import signal
import time

from screen import Listen, plug_of, rest, run


def letters(rows):
    """Strokes in the first row of large letters: 6 of HEARD, 4 of LOST."""
    drawn = [row for row in rows if row.strip() and not row.strip(" #")]
    return len(drawn[0].split()) if drawn else 0


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
    for time_of in (1, 2, 3):
        ticks = len(ticking.bells)
        rest(4)
        if not 3 <= len(ticking.bells) - ticks <= 5:
            ticking.fail("%d ticks in 4 s" % (len(ticking.bells) - ticks))
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
            counted = "Lost %s" % ("once, for" if time_of == 1 else "%d times" % time_of)
            listen.until(counted, lambda r: any(counted in row for row in r), 1)
    bells = len(plain.bells)
    plug_of("laptop", "down")
    no_link = lambda r: any("The laptop's own link is down. Lost 3 times" in row
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
    os.kill(plain.pid, signal.SIGUSR1)
    plain.until("how it stands, as an event",
                lambda r: any(" heard for " in row for row in r), 3)
    if b"fairlead: heard for" in plain.seen:
        plain.fail("it writes in the midst of its screen")
    plug_of("radar", "down")
    rest(6)
    for listen in both:
        listen.press("q")
        if listen.end() > 1:
            listen.fail("it did not end well")
        listen.journal()
        said = " ".join(listen.again.split())
        told = re.search(r"watched at the plug, radar was lost 4 times, the longest "
                         r"([0-9.]+) s, and still is", said)
        if not told or float(told[1]) < 5:
            listen.fail("the answer does not say so: " + listen.again)
    if [line["act"] for line in plain.journal() if line.get("kind") == "hand"] != ["mark"]:
        plain.fail("the mark is not in the journal")
    print("lost three times, three bells; it ticks while it is heard")


run(device)
