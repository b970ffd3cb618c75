"""brute_force.py -- the posterior once more, from its formulas alone.

Reads the lines of weigh_dump. Shares no code or table with the program: each
hypothesis is worked out by itself, device by device and episode by episode,
nothing grouped, kept or left out. Unpruned the program must agree to 1e-9,
pruned to 1e-6; some pairs must have been pruned, or that says nothing.
"""
import json
import sys
from itertools import combinations
from math import exp, lgamma, log

HIDES = {"dead": 0.98, "unsteady": 0.05, "drops": 0.01, "died": 0.0}
LEAK, DIED, SHAPE, RATE = 0.002, 0.3, 0.5, 2.0
WAYS = {"far": (.03, .07, .86, .02, .02), "link": (.04, .86, .06, .02, .02),
        "power": (.90, .03, .03, .02, .02), "itself": (.50, .05, .03, .17, .25)}
CHANCE = (.45, .15, .10, .15, .15)
BACKGROUND = ((3e-5, 10000), (1e-4, 10000), (3e-4, 6667), (1e-3, 2000),
              (3e-3, 667), (1e-2, 200))
DROPS = (5.6e-4, 1.38e-3, 3.38e-3, 8.3e-3, .0203, .0499, .1222, .3)


def total(logs):
    high = max(logs)
    return high + log(sum(exp(x - high) for x in logs))


def mean(logs):
    return total(logs) - log(len(logs))


def back(episode, part):
    sum_ = 0.0
    for b in episode["backs"]:
        ways = WAYS[part["touch"]] if part and b["device"] in part["behind"] else CHANCE
        sum_ += log(sum(w * exp(x) for w, x in zip(ways, b["log"])))
    return sum_


def pi(episode, part):
    sum_ = back(episode, part)
    for device in episode["fell"]:
        sum_ += log(.97 if device in part["behind"] else .003)
    for device in episode["stayed"]:
        sum_ += log(.03 if device in part["behind"] else .997)
    return sum_


def pi_0(episode, devices):
    return -log(devices) + (len(episode["fell"]) - 1) * log(.003) + back(episode, None)


def count_log(boat, n, unsteady):
    if not unsteady:
        m = boat["background"] * len(boat["devices"]) * boat["hours"]
        return n * log(m) - m - lgamma(n + 1)
    r, m = SHAPE * unsteady, RATE * boat["hours"] * unsteady
    return (lgamma(n + r) - lgamma(r) - lgamma(n + 1) + r * log(r / (r + m)) +
            n * log(m / (r + m)))


def episodes_log(boat, episodes, unsteady):
    if len(unsteady) == 0:
        grid = [(1.0,)]
    elif len(unsteady) == 1:
        grid = [(1 - w, w) for w in (.5, .8, .95, .99)]
    else:
        grid = [(.02, .98 * w, .98 * (1 - w)) for w in (.1, .3, .5, .7, .9)]
    n = sum(e["count"] for e in episodes)
    logs = []
    for shares in grid:
        sum_ = 0.0
        for e in episodes:
            causes = [pi_0(e, len(boat["devices"]))] + [pi(e, p) for p in unsteady]
            sum_ += e["count"] * total([log(w) + c for w, c in zip(shares, causes)])
        logs.append(sum_ / (1 + .1 * (n - 1)) if n else 0.0)
    return mean(logs) + count_log(boat, n, len(unsteady))


def beta_binomial(device, share, spread):
    k, h = device["missed"], device["received"]
    a, b = share * spread, spread - share * spread
    return (lgamma(k + a) + lgamma(h + b) - lgamma(k + h + spread) - lgamma(a) -
            lgamma(b) + lgamma(spread))


def loss_log(boat, drops):
    counted = [(i, d) for i, d in enumerate(boat["devices"])
               if d["received"] + d["missed"]]
    free = [d for i, d in counted if not any(i in p["behind"] for p in drops)]
    sum_ = mean([sum(beta_binomial(d, m, s) for d in free) for m, s in BACKGROUND])
    logs = []
    grid = [()]
    for _ in drops:
        grid = [g + (m,) for g in grid for m in DROPS]
    for means in grid:
        one = 0.0
        for i, d in counted:
            through = 1.0
            for m, p in zip(means, drops):
                if i in p["behind"]:
                    through *= 1 - m
            if through < 1:
                one += beta_binomial(d, 1 - through, 12)
        logs.append(one)
    return sum_ + mean(logs)


def standing(boat, faults):
    sum_ = 0.0
    for i, d in enumerate(boat["devices"]):
        heard = (1 - LEAK) * (1 - d["unheard"])
        for part, mode in faults:
            if i in part["behind"]:
                heard *= 1 - HIDES[mode]
        sum_ += {"nothing": 0.0, "heard": log(heard), "never": log(1 - heard)}[d["seen"]]
    return sum_


def explains(boat, faults):
    """Dead parts: all along, or with an episode of their own."""
    readings = [[]]
    for part, mode in faults:
        more = []
        for r in readings:
            if mode != "dead":
                more.append(r + [(part, mode, None)])
                continue
            more.append(r + [(part, "dead", None)])
            for k, e in enumerate(boat["episodes"]):
                if e["open"] and all(x[2] != k for x in r):
                    more.append(r + [(part, "died", k)])
        readings = more
    logs = []
    for r in readings:
        own = {k for _, _, k in r if k is not None}
        sum_ = standing(boat, [(p, m) for p, m, _ in r])
        for p, m, k in r:
            if m == "died":
                sum_ += log(DIED) + pi(boat["episodes"][k], p)
            elif m == "dead":
                sum_ += log(1 - DIED)
        left = [e for k, e in enumerate(boat["episodes"]) if k not in own]
        sum_ += episodes_log(boat, left, [p for p, m, _ in r if m == "unsteady"])
        sum_ += loss_log(boat, [p for p, m, _ in r if m == "drops"])
        logs.append(sum_)
    return total(logs)


def other_log(boat):
    sum_ = loss_log(boat, [])
    for d in boat["devices"]:
        sum_ += {"nothing": 0.0, "heard": log(.9), "never": log(.3)}[d["seen"]]
    n = sum(e["count"] for e in boat["episodes"])
    chance = sum(e["count"] * pi_0(e, len(boat["devices"])) for e in boat["episodes"])
    return sum_ + count_log(boat, n, 1) + (chance / (1 + .1 * (n - 1)) if n else 0.0)


def weigh(boat):
    parts = boat["parts"]
    modes = ("dead", "unsteady", "drops")
    known, found = {}, {}

    def likelihood(faults):            # parts that are the same are not asked twice
        key = tuple((tuple(p["behind"]), p["touch"], m) for p, m in faults)
        if key not in known:
            known[key] = explains(boat, faults)
        return known[key]

    def put(key, value):
        found[key] = total([found[key], value]) if key in found else value

    put("none", likelihood([]))
    put("other", log(.02) + other_log(boat))
    single = [(i, m, o / 1000) for i, p in enumerate(parts)
              for m, o in zip(modes, p["odds"]) if o > 0]
    for i, m, odds in single:
        put((i, -1), log(odds) + likelihood([(parts[i], m)]))
    for (i, m, a), (k, n, b) in combinations(single, 2):
        if i != k:
            put((i, k), log(a * b) + likelihood([(parts[i], m), (parts[k], n)]))
    sum_ = total(list(found.values()))
    return {k: exp(v - sum_) for k, v in found.items()}


def farthest(boat, said, ours):
    far = max(abs(said["none"] - ours["none"]), abs(said["other"] - ours["other"]))
    listed = {tuple(sorted(h[:2])): h[2] for h in said["list"]}
    rest = 0.0
    for key, p in ours.items():
        if key in ("none", "other"):
            continue
        key = tuple(sorted(key))
        if key in listed:
            far = max(far, abs(listed[key] - p))
        else:
            rest += p
            if p > 2e-3 + 1e-6:
                far = 1.0
    far = max(far, abs(rest - said["rest"]))
    for i in range(len(boat["parts"])):
        p = sum(v for k, v in ours.items() if not isinstance(k, str) and i in k)
        far = max(far, abs(said["parts"][i] - p))
    return far


def main():
    boats = pruned = 0
    whole, less = 0.0, 0.0
    for line in sys.stdin:
        boat = json.loads(line)
        ours = weigh(boat)
        boats += 1
        pruned += boat["pruned"]["pruned"]
        whole = max(whole, farthest(boat, boat["whole"], ours))
        less = max(less, farthest(boat, boat["pruned"], ours))
    print(f"{boats} boats: {whole:.1e} off at most, {less:.1e} with {pruned} pruned")
    return 0 if boats and pruned and whole <= 1e-9 and less <= 1e-6 else 1


sys.exit(main())
