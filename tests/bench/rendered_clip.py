"""A scene's clip, rendered once: what the accuracy, coverage and hop benches share. Standard library only."""
import hashlib
import json
import os
import subprocess
import sys


def rendered(program, work, scene):
    """The clip's file and its truth. Kept in the folder `work` under a name made of the scene, and used again."""
    text = json.dumps(scene, sort_keys=True)
    stem = os.path.join(work, hashlib.sha256(text.encode()).hexdigest()[:16])
    if not os.path.exists(stem + ".truth.json"):
        with open(stem + ".json", "w") as out:
            out.write(text)
        made = subprocess.run([program, "synth", stem + ".json", "--out", stem + ".mp4", "--quiet"], capture_output=True, text=True)
        if made.returncode != 0:
            sys.exit(f"cannot render: {made.stderr.strip()}")
    with open(stem + ".truth.json") as truth:
        return stem + ".mp4", json.load(truth)
