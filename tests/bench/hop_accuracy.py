#!/usr/bin/env python3
"""Renders hops of many conditions, measures each clip and holds every touchdown and take-off against the truth.

Usage: hop_accuracy.py PROGRAM WORK_FOLDER [OUT.md] [WORDS OF A CONDITION'S NAME]. Standard library only. Clips are kept
in WORK_FOLDER and used again.
"""
import concurrent.futures
import copy
import json
import math
import os
import statistics
import subprocess
import sys

from rendered_clip import rendered

PROGRAM, WORK = sys.argv[1], sys.argv[2]
OUT = sys.argv[3] if len(sys.argv) > 3 else None
ONLY = sys.argv[4] if len(sys.argv) > 4 else ""
BASE = {"schema": "risetrace/scene/1",
        "camera": {"width_px": 1280, "height_px": 720, "px_per_cm": 9.4, "fps": 240, "exposure_s": 0.002, "noise_grey": 2},
        "movement": {"lead_in_s": 0.6, "tail_s": 0.5,
                     "hops": {"rule": {"count": 10, "contact_jitter_s": 0.006, "flight_jitter_s": 0.006},
                              "form": {"toe_roll_s": 0}}},
        "file": {"bit_rate_mbps": 12}}
ROLL = {"movement": {"hops": {"form": {"toe_roll_s": 0.03}}}}
SOFT = {"movement": {"hops": {"form": {"sole_give_cm": 0.6}}}}
FAR = {"other_foot": {"hops": True, "lag_s": 0.006}}
SHADOW = {"light": {"shadow_strength": 0.85, "shadow_softness_cm": 0.3}}
CLUTTER = {"background": {"kind": "clutter"}}
SHAKE = {"camera": {"floor_shake_px": 2}}
AT_ONCE = {"movement": {"hops": {"form": {"leave_soft_s": 0}}}}
FOREFOOT = {"stickers": {"forefoot": {}}}


def laid_over(base, *changes):
    out = copy.deepcopy(base)
    for change in changes:
        for key, value in change.items():
            out[key] = laid_over(out[key], value) if isinstance(value, dict) and isinstance(out.get(key), dict) else value
    return out


def at(fps, *changes):
    exposure = {240: 0.002, 120: 0.003, 60: 0.004}[fps]
    return laid_over({"camera": {"fps": fps, "exposure_s": exposure}}, *changes)


# name, hard or clean, what differs from BASE
CONDITIONS = [
    *[(f"clean, {fps} fps", "clean", at(fps)) for fps in (240, 120, 60)],
    *[(f"clean, leaves at once, {fps} fps", "clean", at(fps, AT_ONCE)) for fps in (240, 120, 60)],
    *[(f"clean, forefoot sticker, {fps} fps", "clean", at(fps, FOREFOOT)) for fps in (240, 120, 60)],
    ("clean, facing left, one leg, 120 fps", "clean", at(120, {"leg": {"facing": "left"}, "other_foot": {"held_up": True}})),
    ("clean, short contacts, 240 fps", "clean", at(240, {"movement": {"hops": {"rule": {"contact_s": 0.14, "flight_s": 0.26}}}})),
    ("clean, long contacts, 120 fps", "clean", at(120, {"movement": {"hops": {"rule": {"contact_s": 0.32, "flight_s": 0.1}}}})),
    *[(f"toe roll 30 ms, {fps} fps", "hard", at(fps, ROLL)) for fps in (240, 120, 60)],
    *[(f"hard shadow, {fps} fps", "hard", at(fps, SHADOW)) for fps in (240, 120, 60)],
    *[(f"cluttered background, {fps} fps", "hard", at(fps, CLUTTER)) for fps in (240, 120, 60)],
    *[(f"far foot, {fps} fps", "hard", at(fps, FAR)) for fps in (240, 120, 60)],
    *[(f"soft sole 6 mm, {fps} fps", "hard", at(fps, SOFT)) for fps in (240, 120, 60)],
    *[(f"shaken camera, {fps} fps", "hard", at(fps, SHAKE)) for fps in (240, 120, 60)],
    ("barefoot, 120 fps", "hard", at(120, {"leg": {"barefoot": True}})),
    ("noise 8, 120 fps", "hard", at(120, {"camera": {"noise_grey": 8}})),
    ("2 Mbit/s, 120 fps", "hard", at(120, {"file": {"bit_rate_mbps": 2}})),
    ("exposure 1/125 s, 120 fps", "hard", at(120, {"camera": {"exposure_s": 0.008}})),
    ("rolling shutter 15 ms, 60 fps", "hard", at(120, {"camera": {"readout_s": 0.015, "fps": 60, "exposure_s": 0.004}})),
    ("toe first at landing 12 ms, 240 fps", "hard", at(240, {"movement": {"hops": {"form": {"toe_first_s": 0.012}}}})),
    ("speckled dark floor, white sole gone, 120 fps", "hard", at(120, {"leg": {"sole": "#4a3c33", "shoe": "#3a3a40"}})),
    *[(f"all at once, {fps} fps", "hard", at(fps, ROLL, {"movement": {"hops": {"form": {"sole_give_cm": 0.3}}}}, FAR, SHADOW, CLUTTER,
                                             SHAKE)) for fps in (240, 120, 60)],
]


HEAD = """# Accuracy of hops on rendered clips

Made by `./dev accuracy` at commit {commit}. Two clips of ten hops each, 720p, 9.4 px/cm, noise 2 grey levels, H.264 at
12 Mbit/s unless the condition says otherwise. The foot leaves softly, its speed missing at first fading over 4 ms, unless the
condition says "leaves at once". Errors are those of `contact_ms` and `flight_ms` against the truth of the scene,
hop by hop, also of those that do not count; T is the time between two frames (events picked by whole frames have an SD of
0.41 T, derived here). "Within u, 2 u" counts the contacts whose truth lies within one and two `contact_ms_u`.

These clips come from our own renderer: flat shoes, skin that does not slide, an even floor. What they show is the program's own
part of the error.

"""


def run(command):
    done = subprocess.run(command, capture_output=True, text=True)
    return done.returncode, done.stdout, done.stderr.strip()


def nearest(values, wanted, within):
    best = min(values, key=lambda v: abs(v[0] - wanted), default=None)
    return best if best and abs(best[0] - wanted) < within else None


def measured(job):
    name, kind, change, seed = job
    scene = laid_over(BASE, change, {"seed": seed, "title": name})
    clip, whole_truth = rendered(PROGRAM, WORK, scene)
    truth = whole_truth["hop"]
    status, said, wrong = run([PROGRAM, "measure", clip, "--test", "hop", "--json", "--out", clip + ".risetrace"])
    if status:
        return {"name": name, "failed": wrong, "true": len(truth["hops"]), "found": 0, "invented": 0, "rows": [], "frames": []}
    result = json.loads(said)
    hops = result["hop"]["hops"]
    rows, frames, found = [], [], 0
    for hop in truth["hops"]:
        seen = nearest([(h["touchdown_s"], h) for h in hops], hop["touchdown_s"], 0.06)
        if not seen:
            continue
        found += 1
        h = seen[1]
        row = {"touchdown": 1000 * (h["touchdown_s"] - hop["touchdown_s"])}
        frames.append(h["touchdown_frame"] - hop["touchdown_frame"])
        if h["takeoff_s"] is not None and hop.get("takeoff_s") is not None:
            row["takeoff"] = 1000 * (h["takeoff_s"] - hop["takeoff_s"])
            frames.append(h["takeoff_frame"] - hop["takeoff_frame"])
        if h["contact_ms"] is not None and hop.get("contact_ms") is not None:
            row["contact"], row["u"] = h["contact_ms"] - hop["contact_ms"], h["contact_ms_u"]
        if h["flight_ms"] is not None:
            row["flight"] = h["flight_ms"] - hop["flight_ms"]
        rows.append(row)
    return {"name": name, "true": len(truth["hops"]), "found": found, "invented": len(hops) - found, "rows": rows,
            "frames": frames, "failed": None, "from": result["hop"]["contact_from"]}


def bias_sd(rows, key):
    values = [r[key] for r in rows if key in r]
    if len(values) < 2:
        return None, None
    return statistics.fmean(values), statistics.stdev(values)


def main():
    os.makedirs(WORK, exist_ok=True)
    seeds = (1, 2)
    chosen = [c for c in CONDITIONS if ONLY in c[0]]
    jobs = [(name, kind, change, seed) for name, kind, change in chosen for seed in seeds]
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        outcomes = list(pool.map(measured, jobs))
    lines = ["| condition | hops found | contact: bias, SD ms | SD / T | flight: bias, SD ms | within u, 2 u | events on the right frame |",
             "| --- | --- | --- | --- | --- | --- | --- |"]
    for name, kind, change in chosen:
        mine = [o for o in outcomes if o["name"] == name]
        rows = [r for o in mine for r in o["rows"]]
        failures = [o["failed"] for o in mine if o["failed"]]
        frame_ms = 1000 / laid_over(BASE, change)["camera"]["fps"]
        count = f"{sum(o['found'] for o in mine)} of {sum(o['true'] for o in mine)}"
        invented = sum(o["invented"] for o in mine)
        if invented:
            count += f", {invented} invented"
        if failures:
            count += f"; {failures[0]}"
        bias, sd = bias_sd(rows, "contact")
        flight_bias, flight_sd = bias_sd(rows, "flight")
        sure = [abs(r["contact"]) / r["u"] for r in rows if "u" in r and r["u"]]
        frames = [f for o in mine for f in o["frames"]]
        if bias is None:
            lines.append(f"| {name} | {count} | – | – | – | – | – |")
            continue
        lines.append(f"| {name} | {count} | {bias:+.2f}, {sd:.2f} | {sd / frame_ms:.3f} | {flight_bias:+.2f}, {flight_sd:.2f} | "
                     f"{sum(s < 1 for s in sure) / len(sure):.2f}, {sum(s < 2 for s in sure) / len(sure):.2f} | "
                     f"{sum(f == 0 for f in frames)} of {len(frames)} |")
    text = "\n".join(lines)
    print(text)
    if OUT:
        commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True).stdout.strip()
        with open(OUT, "w") as out:
            out.write(HEAD.format(commit=commit) + text + "\n")


main()
