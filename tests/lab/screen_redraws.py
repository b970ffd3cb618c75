"""What is drawn by few cells stands there as if all were drawn anew, over and
over on a busy boat. See screen.py."""
import random
import re
import time

from screen import ESCAPE, KEYS, Listen, line_of, plug_of, pump, run

ROUNDS = 45         # at each size at least, of four redraws each
THERE = ((81, 24), (60, 20), (80, 25), (132, 43), (79, 30))
WORDS = ("plug", "é", "港の電波", "lower switch port 3 ", "m", "한국 ", "x" * 70)


def masked(rows):
    """Without what goes on by itself: the clock and seconds."""
    return [re.sub(" +", " ", re.sub(r"just now|\d+( min \d+)? s( ago)?|\d+", "0", row))
            for row in rows]


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


run(redraws)
