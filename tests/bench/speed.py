#!/usr/bin/env python3
"""Time and memory of `risetrace measure` beside the bare decode of the same file, in turns within one run; then its
start beside that of an empty program linked to libav alone, and what following a sticker takes of the decode.

Usage: speed.py PROGRAM BENCH_STICKER WORK_FOLDER [OUT.md]. Needs the ffmpeg program, cc and pkg-config. Standard library
only. Clips are kept in WORK_FOLDER and used again.
"""
import json
import os
import subprocess
import sys
import time

PROGRAM, BENCH, WORK = sys.argv[1:4]
OUT = sys.argv[4] if len(sys.argv) > 4 else None
RUNS = int(os.environ.get("RUNS", "3"))


def raises(count, mbps, **camera):
    return {"schema": "risetrace/scene/1", "camera": {"noise_grey": 3, **camera},
            "movement": {"rule": {"count": count, "height_first_cm": 10, "height_last_cm": 9}},
            "file": {"bit_rate_mbps": mbps}}


def hops(count):
    return {"schema": "risetrace/scene/1",
            "camera": {"width_px": 1920, "height_px": 1080, "px_per_cm": 14, "fps": 240, "exposure_s": 0.002, "noise_grey": 3},
            "movement": {"lead_in_s": 0.6, "tail_s": 0.4,
                         "hops": {"rule": {"count": count, "contact_jitter_s": 0.006, "flight_jitter_s": 0.006},
                                  "form": {"toe_roll_s": 0}}},
            "file": {"bit_rate_mbps": 40}}


HEVC_10_BIT = ["-t", "8", "-c:v", "libx265", "-preset", "ultrafast", "-x265-params", "log-level=error", "-b:v", "20M",
               "-pix_fmt", "yuv420p10le"]
# what the row says, file, scene or the file it is made from, ffmpeg's words for that, the test
CLIPS = [("heel raises, 1080p60 H.264, 20 s", "short", raises(9, 20), None, "heel-raise"),
         ("heel raises, 1080p60 H.264, 60 s", "long", "short", ["-c", "copy"], "heel-raise"),
         ("heel raises, 1080p240 H.264, 12 s", "fast", raises(5, 40, fps=240, exposure_s=0.002), None, "heel-raise"),
         ("heel raises, 1080p240 H.264, 36 s", "fast36", "fast", ["-c", "copy"], "heel-raise"),
         ("heel raises, 1080p60 HEVC 10 bit, 8 s", "hevc", "short", HEVC_10_BIT, "heel-raise"),
         ("heel raises, 4K60 H.264, 8 s", "4k", raises(3, 60, width_px=3840, height_px=2160, px_per_cm=28), None, "heel-raise"),
         ("hops, 1080p240 H.264, 4 s", "hop4", hops(6), None, "hop"),
         ("hops, 1080p240 H.264, 12 s", "hop12", hops(24), None, "hop"),
         ("hops, 1080p240 H.264, 36 s", "hop36", "hop12", ["-c", "copy"], "hop")]


def run(command):
    """Wall seconds, CPU seconds and peak memory in MB of a command that must succeed."""
    started = time.monotonic()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    if status != 0:
        sys.exit(f"{command} failed with {status}")
    return time.monotonic() - started, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def clip_of(name, made_from, words):
    """Rendered from a scene, or made from a clip's pictures played three times over."""
    os.makedirs(WORK, exist_ok=True)
    clip = os.path.join(WORK, name + ".mp4")
    if os.path.exists(clip):
        return clip
    if words:
        parts = os.path.join(WORK, "parts.txt")
        with open(parts, "w") as out:
            out.write(f"file '{os.path.abspath(os.path.join(WORK, made_from + '.mp4'))}'\n" * 3)
        run(["ffmpeg", "-v", "error", "-y", "-f", "concat", "-safe", "0", "-i", parts, "-an", *words, clip])
        return clip
    scene = os.path.join(WORK, name + ".json")
    with open(scene, "w") as out:
        json.dump(made_from, out)
    run([PROGRAM, "synth", scene, "--out", clip, "--quiet"])
    return clip


def middle(runs):
    return [sorted(column)[len(column) // 2] for column in zip(*runs)]


def decoded(clip, *how):
    return run(["ffmpeg", "-v", "error", "-threads", "2", *how, "-i", clip, "-an", "-f", "null", "-"])


def row_of(name, clip, test):
    bare, rough, ours = [], [], []
    for _ in range(RUNS):
        bare.append(decoded(clip))
        rough.append(decoded(clip, "-skip_loop_filter", "all"))
        ours.append(run([PROGRAM, "measure", clip, "--test", test, "--quiet", "--out", os.path.join(WORK, "speed.risetrace")]))
    (bare_wall, bare_cpu, bare_mb), (wall, cpu, mb) = middle(bare), middle(ours)
    return (f"| {name} | {bare_wall:.1f} | {wall:.1f} | **{wall / bare_wall:.2f}** | {bare_cpu:.1f} | {cpu:.1f} |"
            f" {cpu / bare_cpu:.2f} | {middle(rough)[1]:.1f} | {bare_mb:.0f} | {mb:.0f} |")


def start():
    """Milliseconds to start and end: an empty program linked to libav, and ours."""
    source, empty = os.path.join(WORK, "empty.c"), os.path.join(WORK, "empty")
    with open(source, "w") as out:
        out.write("int main(void) { return 0; }\n")
    libav = subprocess.run(["pkg-config", "--libs", "libavformat", "libavcodec", "libavutil"], check=True,
                           capture_output=True, text=True).stdout.split()
    subprocess.run(["cc", source, "-o", empty, "-Wl,--no-as-needed", *libav], check=True)
    runs = [(run([os.path.abspath(empty)])[0], run([PROGRAM, "--version"])[0]) for _ in range(31)]
    return [1000 * s for s in middle(runs)]


def following():
    """CPU milliseconds a frame of following one sticker of 10 px radius, sharp and smeared by 4 px, and of decoding."""
    clip = os.path.join(WORK, "short.mp4")
    frames = int(subprocess.run(["ffprobe", "-v", "error", "-select_streams", "v:0", "-show_entries", "stream=nb_frames", "-of",
                                 "csv=p=0", clip], check=True, capture_output=True, text=True).stdout)
    decode = decoded(clip)[1]
    told = subprocess.run([BENCH, "--benchmark_filter=follow/10/", "--benchmark_format=json"], check=True,
                          capture_output=True, text=True).stdout
    return *(1000 * one["a_frame"] for one in json.loads(told)["benchmarks"]), 1000 * decode / frames


HEAD = """# Speed

Made by `./dev bench` at commit {commit} on Debian 12, {cores} cores, with {load:.1f} other processes at work on them (the
load average before it began): on a busy machine the CPU seconds are surer than the wall's. Rendered clips, 20 Mbit/s, 4K at
60, hops at 40. Middle of {runs} in turns; decode is `ffmpeg -threads 2 -i CLIP -an -f null -`, and once more with `-skip_loop_filter all`:
heel raises, and of hops the first look at their beginning, are read without that filter ([why](choices.md)). The goals, in wall time:
heel raises at most 1.1 times the decode, hops at most 1.3; at 1080p under 120 MB, and no more for a longer clip; a start of at
most 1.5 times an empty program's that is linked to libav alone; following at most 3 % of the decode's CPU; the search for
stickers and card at most 5 % of a clip of 60 s: it lies within what measure takes beyond decode there.

"""


def main():
    load = os.getloadavg()[0]
    rows = [row_of(name, clip_of(file, made_from, words), test) for name, file, made_from, words, test in CLIPS]
    table = "\n".join(["| clip | decode, wall s | measure, wall s | ratio | decode, CPU s | measure, CPU s | ratio |"
                       " decode without the filter, CPU s | decode, MB | measure, MB |", "| --- |" + " ---: |" * 9, *rows])
    empty_ms, ours_ms = start()
    sharp_ms, smeared_ms, decode_ms = following()
    said = table + (f"\n\nStart: `risetrace --version` {ours_ms:.0f} ms, the empty program {empty_ms:.0f} ms, ratio "
                    f"**{ours_ms / empty_ms:.2f}** (middle of 31 in turns).\n\n"
                    f"Following one sticker of 10 px radius (`bench_sticker`): {sharp_ms:.2f} ms of CPU a frame where it is sharp, "
                    f"{smeared_ms:.2f} ms smeared by 4 px: **{100 * sharp_ms / decode_ms:.1f} %** and **{100 * smeared_ms / decode_ms:.1f} %** of "
                    f"the {decode_ms:.1f} ms that decoding a frame of the 20 s clip takes.\n")
    print(said)
    if OUT:
        commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True).stdout.strip()
        with open(OUT, "w") as out:
            out.write(HEAD.format(commit=commit, cores=os.cpu_count(), load=load, runs=RUNS) + said)


main()
