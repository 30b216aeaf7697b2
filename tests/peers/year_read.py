# SPDX-License-Identifier: GPL-3.0-or-later
#
# Reads a scenario.resolved.cfg for year.py, and its swings.  docs/scenario.md, docs/feed.md.
import math
import re


def parse(path):
    """A resolved scenario as dicts and lists; numbers are taken out of their texts."""
    words = re.findall(r'"(?:[^"\\]|\\.)*"|[{}()\[\]=;,]|[^\s{}()\[\]=;,"]+',
                       re.sub(r"(?m)^//.*$", "", open(path).read()))
    at = [0]

    def value():
        word = words[at[0]]
        at[0] += 1
        if word == "{":
            out = group("}")
        elif word in "([":
            out, close = [], ")" if word == "(" else "]"
            while words[at[0]] != close:
                out.append(value())
                at[0] += words[at[0]] == ","
            at[0] += 1
        elif word in ("true", "false"):
            out = word == "true"
        elif m := re.fullmatch(r'"?(-?\d+\.?\d*(?:e[+-]?\d+)?)(?: [^"]*)?"?', word):
            out = float(m[1])
        else:
            out = word.strip('"')
        return out

    def group(close):
        out = {}
        while at[0] < len(words) and words[at[0]] != close:
            name, at[0] = words[at[0]], at[0] + 2
            out[name] = value()
            at[0] += at[0] < len(words) and words[at[0]] == ";"
        at[0] += 1
        return out
    return group("")


def cycle(v, start_day):
    def at(t):
        day = start_day + t / 86400
        return v["mean"] + v["season"] * math.cos(2 * math.pi * (day - v["peak_day"]) / 365.25) + \
            v["daily"] * math.cos(2 * math.pi * (t / 3600 - v["peak_hour"]) / 24)
    return at
