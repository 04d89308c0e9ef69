#!/usr/bin/env python3
"""Renders clips of lunges and of raises with stickers on the leg, measures them, prints the errors of their angles.

python3 tests/bench/angle_accuracy.py PROGRAM WORK_FOLDER [PART OF A CONDITION'S NAME]
"""
import copy
import json
import os
import subprocess
import sys

from rendered_clip import rendered

PROGRAM, WORK = sys.argv[1], sys.argv[2]
ONLY = sys.argv[3] if len(sys.argv) > 3 else ""

BASE = {"schema": "risetrace/scene/1", "seed": 3,
        "camera": {"width_px": 608, "height_px": 880, "fps": 30, "px_per_cm": 8, "height_cm": 46, "distance_m": 3,
                   "x_cm": 12, "noise_grey": 1.5},
        "cards": [{"x_cm": -12}],
        "stickers": {"ankle": {"radius_cm": 1}, "knee": {}, "hip": {}},
        "file": {"bit_rate_mbps": 8}}
RAISE = {"movement": {"lead_in_s": 0.6, "tail_s": 0.4, "reps": [{"height_cm": 8, "period_s": 1.6}] * 4}}
LUNGE = {"camera": {"height_px": 608, "height_cm": 34}, "stickers": {"heel": {"absent": True}, "hip": {"absent": True}},
         "movement": {"lead_in_s": 0.8, "tail_s": 0.4, "lunge": {"wall_cm": 9, "tries": [
             {"shank_deg": 40, "forward_s": 1, "hold_s": 1.2, "back_s": 1}]}}}
CHANGES = {
    "clean": {},
    "grainy, 2 Mbit/s": {"camera": {"noise_grey": 7}, "file": {"bit_rate_mbps": 2}},
    "out of focus": {"camera": {"blur_px": 2.2}},
    "far: 4.5 px/cm": {"camera": {"px_per_cm": 4.5, "distance_m": 5}},
    "camera aslant by 8 degrees": {"camera": {"x_cm": 54, "pan_deg": -8}},
    "camera leaning by 3 degrees": {"camera": {"roll_deg": 3}},
    "card turned by 6, leaning by 4 degrees": {"cards": [{"x_cm": -12, "turn_deg": 6, "lean_deg": 4}]},
    "cluttered room": {"background": {"kind": "clutter", "count": 120}},
    "logos on shoe and shorts": {"leg": {"decoys": [{"on": "shoe", "forward_cm": 14, "up_cm": 6},
                                                    {"on": "thigh", "forward_cm": 3, "up_cm": 22}]}},
    "ankle sticker 1 cm ahead of the bone": {"stickers": {"ankle": {"radius_cm": 1, "forward_cm": 1}}},
}


def merged(base, patch):
    out = copy.deepcopy(base)
    for name, value in patch.items():
        out[name] = merged(out[name], value) if isinstance(value, dict) and isinstance(out.get(name), dict) else value
    return out


def measured(scene, test):
    clip, truth = rendered(PROGRAM, WORK, scene)
    out = os.path.join(WORK, "result")
    command = [PROGRAM, "measure", clip, "--test", test, "--out", out, "--quiet"]
    done = subprocess.run(command, capture_output=True, text=True)
    if done.returncode != 0:
        return None, None, done.stderr.strip()
    with open(os.path.join(out, "result.json"), encoding="utf-8") as file:
        return json.load(file), truth, ""


def knee_row(name, scene, wanted):
    result, _, why = measured(scene, "heel-raise")
    if result is None:
        return f"| {name} | {why} | |"
    knees = [rep["knee_deg"] for rep in result["heel_raise"]["reps"]]
    if None in knees or not knees:
        return f"| {name} | not told in {knees.count(None)} of {len(knees)} reps | |"
    worst = max((knee - wanted for knee in knees), key=abs)
    return f"| {name} | {worst:+.2f} | {result['heel_raise']['knee_deg']['mean_u']:.1f} |"


def lunge_row(name, scene):
    result, truth, why = measured(scene, "lunge")
    if result is None:
        return f"| {name} | {why} | | | |"
    lunge, held = result["lunge"], truth["lunge"]["tries"][0]["shank_deg"]
    change = held - truth["lunge"]["standing_shank_deg"]
    told = f"{lunge['change_deg'] - change:+.2f} | {lunge['change_deg_u']:.1f}" if lunge["change_deg"] else "not told | "
    return f"| {name} | {lunge['shank_deg'] - held:+.2f} | {lunge['shank_deg_u']:.1f} | {told} |"


def main():
    os.makedirs(WORK, exist_ok=True)
    chosen = [(name, change) for name, change in CHANGES.items() if ONLY in name]
    print("| lunge to 40 degrees | shank, error | its u | change, error | its u |\n| --- | --- | --- | --- | --- |")
    for name, change in chosen + [("no card", {"cards": []})] * (not ONLY):
        print(lunge_row(name, merged(merged(BASE, LUNGE), change)), flush=True)
    print("\n| heel raises, four reps | knee, worst error | its u |\n| --- | --- | --- |")
    for bend in (0, 50):
        for name, change in chosen:
            scene = merged(merged(merged(BASE, RAISE), {"leg": {"knee_bend_deg": bend}}), change)
            print(knee_row(f"bent by {bend}: {name}", scene, bend), flush=True)


if __name__ == "__main__":
    main()
