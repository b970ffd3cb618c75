"""many_boats.py -- which parts sound the same as the true one, from the plan.

Reads the lines of many_boats. Shares no code with the program: it reads the
plan's text, walks from each device to the laptop, and puts parts with the same
devices behind them into one class. The true part must be in the first set of
equals in 95 boats of 100, and that set must be no larger than its class.
"""
import json
import sys
from collections import defaultdict, deque


def sections(text):
    found, now = [], None
    for line in text.splitlines():
        line = line.split(";")[0].strip()
        if line.startswith("["):
            now = [line.strip("[]").split(" ", 1), []]
            found.append(now)
        elif "=" in line:
            now[1].append(tuple(x.strip() for x in line.split("=", 1)))
    return found


def place(text, switches):
    """('lower switch', 3) for "lower switch port 3" or "lower switch 3"."""
    for name in sorted(switches, key=len, reverse=True):
        if text.startswith(name + " "):
            rest = text[len(name):].replace("port", "").strip()
            return name, int(rest)
    return text, 0


class Boat:
    def __init__(self, text):
        self.devices, self.switches, self.runs = {}, {}, {}
        everything = sections(text)
        for head, keys in everything:
            feeds = [f.strip() for k, v in keys if k == "feed" for f in v.split(",")]
            if head[0] == "device":
                self.devices[head[1]] = feeds
            elif head[0] == "switch":
                self.switches[head[1]] = feeds
        for head, keys in everything:
            keys = dict(keys)
            if head[0] == "run":
                self.runs[head[1]] = [place(keys["from"], self.switches),
                                      place(keys["to"], self.switches)]
            elif head[0] == "segment":
                self.laptop = place(keys["laptop"], self.switches)

    def ways(self):
        """Part -> the devices it hides."""
        near = defaultdict(list)
        for name, (a, b) in self.runs.items():
            near[a[0]].append((b[0], name, (a, b)))
            near[b[0]].append((a[0], name, (a, b)))
        hub, port = self.laptop
        way = {hub: {"laptop lead"} | ({f"port {port} of {hub}"} if port else set())}
        queue = deque([hub])
        while queue:                      # a tree: one way to each
            here = queue.popleft()
            for there, run, ends in near[here]:
                if there in way:
                    continue
                parts = {f"run {run}"}
                parts |= {f"port {p} of {n}" for n, p in ends if p}
                if here in self.switches:
                    parts.add(f"switch {here}")
                    parts |= {f"feed {f}" for f in self.switches[here]}
                way[there] = way[here] | parts
                if there in self.switches:
                    queue.append(there)
        self.way = way
        hides = defaultdict(set)
        for device, feeds in self.devices.items():
            parts = way[device] | {f"device {device}"} | {f"feed {f}" for f in feeds}
            for part in parts:
                hides[part].add(device)
        return hides


def main():
    boats = right = small = 0
    wrong = []
    for line in sys.stdin:
        boat = json.loads(line)
        boats += 1
        wired = Boat(boat["plan"])
        hides = wired.ways()
        truth = boat["cause"]
        behind = hides.get(truth, set())
        same = {p for p, d in hides.items() if d == behind} | {truth}
        # Where all that a device sends may be held back, so may a filter do it.
        same |= {f"filter in {s}" for s in wired.switches if behind and
                 all(f"switch {s}" in wired.way[d] or s in wired.way[d] or
                     f"feed {wired.switches[s][0]}" in wired.way[d]
                     for d in behind)}
        first = set(boat["first"])
        if truth in first:
            right += 1
        else:
            away = [d for d, s in boat["states"].items() if s != "heard"]
            wrong.append((boat["seed"], truth, sorted(first)[:4], away[:4]))
        if first <= same or truth not in first:
            small += 1
        else:
            wrong.append((boat["seed"], truth, "too many", sorted(first - same)[:4]))
    for row in wrong:
        print(*row)
    print(f"{boats} boats: the true part first in {right}, no set too large in {small}")
    return 0 if boats >= 200 and right * 100 >= boats * 95 and small == boats else 1


sys.exit(main())
