#!/usr/bin/env python3
"""Time and memory of `risetrace measure` beside the bare decode of the same file, in turns within one run.

Usage: speed.py PROGRAM WORK_FOLDER [OUT.md]. Needs the ffmpeg program. Standard library only.
"""
import json
import os
import subprocess
import sys
import time

PROGRAM, WORK = sys.argv[1], sys.argv[2]
SCENE = {"schema": "risetrace/scene/1", "camera": {"noise_grey": 3},
         "movement": {"rule": {"count": 9, "height_first_cm": 10, "height_last_cm": 9}},
         "file": {"bit_rate_mbps": 20}}


def run(command):
    """Wall seconds, CPU seconds and peak memory in MB of a command that must succeed."""
    started = time.monotonic()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    if status != 0:
        sys.exit(f"{command} failed with {status}")
    return time.monotonic() - started, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def clips():
    os.makedirs(WORK, exist_ok=True)
    scene, short, long = (os.path.join(WORK, name) for name in ("speed.json", "short.mp4", "long.mp4"))
    if not os.path.exists(short):
        with open(scene, "w") as out:
            json.dump(SCENE, out)
        run([PROGRAM, "synth", scene, "--out", short, "--quiet"])
    if not os.path.exists(long):
        part = os.path.join(WORK, "parts.txt")
        with open(part, "w") as out:
            out.write(f"file '{os.path.abspath(short)}'\n" * 3)
        run(["ffmpeg", "-v", "error", "-y", "-f", "concat", "-safe", "0", "-i", part, "-an", "-c", "copy", long])
    return short, long


def main():
    rows = []
    for name, clip in zip(("20 s", "60 s"), clips()):
        bare, ours = [], []
        for _ in range(3):
            bare.append(run(["ffmpeg", "-v", "error", "-threads", "2", "-i", clip, "-an", "-f", "null", "-"]))
            ours.append(run([PROGRAM, "measure", clip, "--quiet", "--out", os.path.join(WORK, "speed.risetrace")]))
        middle = [sorted(column)[1] for column in zip(*bare)], [sorted(column)[1] for column in zip(*ours)]
        (bare_wall, bare_cpu, bare_mb), (wall, cpu, mb) = middle
        rows.append(f"| {name} | {bare_wall:.1f} | {wall:.1f} | **{wall / bare_wall:.2f}** | {bare_cpu:.1f} | {cpu:.1f} |"
                    f" {cpu / bare_cpu:.2f} | {bare_mb:.0f} | {mb:.0f} |")
    table = "\n".join(["| clip | decode, wall s | measure, wall s | ratio | decode, CPU s | measure, CPU s | ratio |"
                       " decode, MB | measure, MB |", "| --- |" + " ---: |" * 8, *rows])
    print(table)
    if len(sys.argv) > 3:
        commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True).stdout.strip()
        with open(sys.argv[3], "w") as out:
            out.write("# Speed\n\nMade by `./dev bench` at commit " + commit + " on Debian 12, " + str(os.cpu_count()) +
                      " cores. 1080p60, H.264, 20 Mbit/s, rendered. Middle of three runs in turns; decode is\n"
                      "`ffmpeg -threads 2 -i CLIP -an -f null -`. The goal: at most 1.3 times the decode's wall time, memory\n"
                      "under 300 MB and no more for a longer clip.\n\n" + table + "\n")


main()
