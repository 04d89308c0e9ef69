#!/usr/bin/env python3
"""Renders sets under conditions drawn from the priors that the uncertainty states, measures each, and counts how often
the 95 % intervals hold the truth.

Usage: coverage.py PROGRAM WORK_FOLDER [OUT.md [SETS]]. Standard library only. Clips are kept in WORK_FOLDER and used again.
"""
import concurrent.futures
import json
import math
import os
import random
import subprocess
import sys

from rendered_clip import rendered

PROGRAM, WORK = sys.argv[1], sys.argv[2]
OUT = sys.argv[3] if len(sys.argv) > 3 else None
SETS = int(sys.argv[4]) if len(sys.argv) > 4 else 300
MODELS = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "models")
LONG_SIDE, SHORT_SIDE = 1280, 720
REACH = 1.959964  # of a normal's 95 %


def priors():
    with open(os.path.join(MODELS, "cards.json")) as file:
        return {name: entry["value"] for name, entry in json.load(file)["priors"].items()}


def drawn(seed, known):
    """A scene and the options of `measure`. What the priors name is drawn from them; the rest evenly over what is usual."""
    r = random.Random(seed)
    px_per_cm = r.uniform(7, 9)
    distance_cm = LONG_SIDE / known["usual_field_of_view"] * math.exp(known["focal_log_u"] * r.gauss(0, 1)) / px_per_cm
    distance_cm = max(distance_cm, 52)  # nearer than half a metre nobody films, and nothing is rendered
    pan, tilt = known["view_yaw_u_deg"] * r.gauss(0, 1), known["view_pitch_u_deg"] * r.gauss(0, 1)
    facing = r.choice(["right", "left"])
    # Whoever looks aslant still aims at the leg.
    aim_x = 4 if facing == "right" else -4
    told = r.choice([None, None, r.uniform(-5, 8)])
    card = {"kind": "tags",
            "turn_deg": known["card_turn_u_deg"] * r.gauss(0, 1),
            "lean_deg": known["card_lean_u_deg"] * r.gauss(0, 1),
            "roll_deg": known["card_roll_u_deg"] * r.gauss(0, 1),
            "print_scale": 1 + known["print_scale_u"] * r.gauss(0, 1),
            "print_stretch": 1 + known["print_stretch_u"] * r.gauss(0, 1),
            "offset_cm": (told or 0) + known["plane_offset_u_cm"] * r.gauss(0, 1)}
    fps = r.choice([30, 30, 60, 60, 120])
    camera = {"width_px": LONG_SIDE, "height_px": SHORT_SIDE, "fps": fps, "px_per_cm": px_per_cm,
              "distance_m": distance_cm / 100,
              "x_cm": aim_x - distance_cm * math.tan(math.radians(pan)),
              "height_cm": max(4, 27 - distance_cm * math.tan(math.radians(tilt))),
              "pan_deg": pan, "tilt_deg": tilt, "roll_deg": r.gauss(0, 1.5), "k1": known["k1_u"] * r.gauss(0, 1),
              "readout_s": r.uniform(0, known["readout_most_s"]), "exposure_s": r.uniform(0.001, min(0.016, 0.9 / fps)),
              "blur_px": r.uniform(0.4, 1.2), "noise_grey": r.uniform(1, 6)}
    # A rendered foot rises 12.7 cm at most, jitter included.
    rule = {"count": 3, "height_first_cm": min(r.uniform(7, 12), 11.3), "height_jitter_cm": 0.4, "period_s": r.uniform(1.0, 1.4),
            "period_jitter_s": 0.05, "hold_s": r.choice([0, 0, 0.15])}
    rule["height_last_cm"] = rule["height_first_cm"] * r.uniform(0.82, 1.02)
    scene = {"schema": "risetrace/scene/1", "seed": seed, "camera": camera, "cards": [card],
             "leg": {"facing": facing, "barefoot": r.random() < 0.3},
             "movement": {"lead_in_s": r.uniform(0.4, 0.7), "tail_s": 0.3, "rule": rule,
                          "course": r.choice(["raised-cosine", "minimum-jerk"])},
             "stickers": {"heel": {"kind": r.choice(["white-black-ring", "black-white-ring"]),
                                   "radius_cm": r.uniform(0.8, 1.25)}},
             "background": {"kind": r.choice(["plain", "gradient", "tiles", "bricks", "texture", "clutter"])},
             "light": {"level": r.uniform(0.3, 1)},
             "file": {"bit_rate_mbps": r.uniform(4, 15)}}
    options = []
    if told is not None:
        said_m = distance_cm / 100 * (1 + known["stated_distance_u"] * r.gauss(0, 1))
        options = ["--card-offset", f"{told:.3f}", "--distance", f"{said_m:.4f}"]
    return scene, options


def one_set(seed):
    """(quantity -> list of error / standard uncertainty, and of errors, a rep each; None), or (None, why not)."""
    scene, options = drawn(seed, priors())
    clip, truth = rendered(PROGRAM, WORK, scene)
    command = [PROGRAM, "measure", clip, "--json", "--quiet", "--out", clip + ".risetrace", *options]
    measured = subprocess.run(command, capture_output=True, text=True)
    if measured.returncode != 0:
        return None, measured.stderr.strip()
    result = json.loads(measured.stdout)
    found, true = result["heel_raise"], truth["heel_raise"]
    if len(found["reps"]) != len(true["reps"]) or found["count"] != true["count"]:
        return None, "other reps than shown"
    off = {}
    for name in ("height_cm", "of_reference", "peak_s", "start_s", "end_s"):
        # Where no uncertainty is known, none is judged.
        pairs = [(f[name] - t[name], f[name + "_u"]) for f, t in zip(found["reps"], true["reps"])]
        off[name] = [error / u if u else None for error, u in pairs]
        off[name + " error"] = [error if u else None for error, u in pairs]
    for name in ("total_height_cm", "reference_height_cm"):
        off[name] = [(found[name] - true[name]) / found[name + "_u"]]
        off[name + " error"] = [found[name] - true[name]]
    return off, None


def share(values):
    inside = sum(abs(v) <= REACH for v in values)
    p = inside / len(values)
    return f"{100 * p:.1f} ± {100 * math.sqrt(p * (1 - p) / len(values)):.1f}"


def rms(values):
    return math.sqrt(sum(v * v for v in values) / len(values))


def table(sets):
    rows = [("height, first rep", "height_cm", "first", 10, "mm"), ("height, every rep", "height_cm", "all", 10, "mm"),
            ("reference height", "reference_height_cm", "all", 10, "mm"),
            ("total height", "total_height_cm", "all", 10, "mm"),
            ("height / reference, last rep", "of_reference", "last", 100, "%"),
            ("height / reference, every rep", "of_reference", "all", 100, "%"),
            ("start of a rep, first", "start_s", "first", 1000, "ms"), ("start of a rep, every", "start_s", "all", 1000, "ms"),
            ("peak, first", "peak_s", "first", 1000, "ms"), ("peak, every", "peak_s", "all", 1000, "ms"),
            ("end of a rep, first", "end_s", "first", 1000, "ms"), ("end of a rep, every", "end_s", "all", 1000, "ms")]
    pick = {"first": lambda v: v[:1], "last": lambda v: v[-1:], "all": lambda v: v}
    lines = ["| quantity | values | within 95 %, % of them | RMS of error / u | RMS error |", "| --- | ---: | ---: | ---: | ---: |"]
    for title, name, which, factor, unit in rows:
        values = [v for s in sets for v in pick[which](s[name]) if v is not None]
        errors = [v for s in sets for v in pick[which](s[name + " error"]) if v is not None]
        lines.append(f"| {title} | {len(values)} | {share(values)} | {rms(values):.2f} | {factor * rms(errors):.2f} {unit} |")
    return "\n".join(lines)


def write_page(out, sets, failed):
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True).stdout.strip()
    with open(out, "w") as page:
        page.write(f"""# How often the stated intervals hold the truth

Made by `./dev coverage` at commit {commit}: {len(sets) + len(failed)} rendered sets of three reps, 720p, 7 to 9 px/cm, each under conditions
of its own. What the priors of `models/cards.json` name is drawn from them: printer, card's offset (a third of the sets tell an
offset and a distance, both with an error), turn, lean and roll, the camera's obliqueness, focal length, distortion, readout. The
rest is drawn evenly: 30, 60 or (a fifth of the sets) 120 frames a second, exposure 1 to 16 ms, noise 1 to 6 grey levels, blur
0.4 to 1.2 px, 4 to 15 Mbit/s, light, wall, sticker's size and kind, shoe or bare foot, which way it faces, period 1.0 to 1.4 s,
with and without a hold.

{len(sets)} sets were measured, {len(failed)} not or with other reps than were shown: no interval is counted there. An interval is the
value ± 1.96 standard uncertainties. The reps of a set share their scale, so where every rep is counted the sets, not the reps,
are what is independent, and the binomial ± of the share is too small; the rows of the first or last rep have one value a set.

{table(sets)}

This says that the budget adds up, not that its priors are yours; [method-uncertainty.md](method-uncertainty.md) says what is not
in it. What does not average out of a sticker's place (0.035 px) was itself found on such clips, the first 55 of these among them,
so the rows of height / reference are no independent check of it.
""")


def main():
    os.makedirs(WORK, exist_ok=True)
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        outcomes = list(pool.map(one_set, range(1, SETS + 1)))
    sets = [off for off, why in outcomes if off]
    failed = [why for off, why in outcomes if why]
    print(table(sets))
    for why in failed:
        print(why)
    if OUT:
        write_page(OUT, sets, failed)


main()
