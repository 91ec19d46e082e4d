"""Whether the script can find anything: programs with a fault planted in them, each of which it must object to.

    python3 tests/faults/selftest.py target/release/stopwright

A planted program is a script around the true one. For each it is said which fault must tell of it, and in which words.
"""

import argparse
import sys
import tempfile
from pathlib import Path

import calls
import crowds
import disks
import kills
from program import Program

# Before each plant: the true program and its arguments.
HEAD = '''#!{python} -SE
import os, random, shutil, subprocess, sys, tempfile, time
TRUE, ARGS = {true!r}, sys.argv[1:]
def run(args, **how):
    return subprocess.run([TRUE, *args], **how)
def after(flag):
    return ARGS[ARGS.index(flag) + 1] if flag in ARGS else None
def made_elsewhere():
    """Makes the set in another folder, which holds the old one; where."""
    other, out = tempfile.mkdtemp(), after("--out")
    shutil.copytree(out, other, dirs_exist_ok=True) if os.path.isdir(out) else os.makedirs(out)
    code = run([other if arg == out else arg for arg in ARGS]).returncode
    if code:
        sys.exit(code)
    return other, out
is_set = ARGS[0] == "make" and "--out" in ARGS
is_line = ARGS[0] == "log" and "--honed" in ARGS
if not is_set and not is_line:
    os.execv(TRUE, [TRUE, *ARGS])
'''

IN_PLACE = '''
if is_line:
    os.execv(TRUE, [TRUE, *ARGS])
other, out = made_elsewhere()
try:
    for name in sorted(os.listdir(other)):
        if os.path.isfile(os.path.join(other, name)):
            with open(os.path.join(out, name), "wb") as file:
                file.write(open(os.path.join(other, name), "rb").read())
                time.sleep(0.01)
except OSError as fault:
    sys.exit(f"{out}: cannot write: {fault}")
finally:
    shutil.rmtree(other)
'''
UNFORCED = '''
if is_line:
    os.execv(TRUE, [TRUE, *ARGS])
other, out = made_elsewhere()
for name in sorted(os.listdir(other), reverse=True):
    if os.path.isfile(os.path.join(other, name)):
        time.sleep(0.01)
        part = os.path.join(out, ".stopwright-0123456789abcdef.part")
        shutil.copyfile(os.path.join(other, name), part)
        os.rename(part, os.path.join(out, name))
shutil.rmtree(other)
'''
FORGETFUL = '''
if is_line and random.random() < 0.1:
    sys.exit(0)
os.execv(TRUE, [TRUE, *ARGS])
'''
UNLOCKED = '''
if not is_line:
    os.execv(TRUE, [TRUE, *ARGS])
log = after("--file") or ARGS[1].replace(".json", "-log.json")
own = log + str(os.getpid())
if os.path.exists(log):
    shutil.copyfile(log, own)
code = run([*(arg for arg in ARGS if arg not in ("--file", log)), "--file", own]).returncode
if code == 0:
    os.rename(own, log)
sys.exit(code)
'''
LITTERING = '''
code = run(ARGS).returncode
if code and is_set and os.path.isdir(after("--out")):
    open(os.path.join(after("--out"), ".stopwright-0123456789abcdef.part"), "w")
sys.exit(code)
'''
CAREFREE = '''
run(ARGS)
'''
SILENT = '''
ended = run(ARGS, stderr=subprocess.PIPE, text=True)
sys.stderr.write(ended.stderr.split("(process")[0])
sys.exit(ended.returncode)
'''

# What is planted, and which faults must tell of it in which words.
PLANTS = [
    ("files are written in their places", IN_PLACE, [
        (kills.kills_in_make, "is neither old nor new"), (disks.full_disk, "is neither old nor new"),
        (calls.order_of_writing, "is opened to be written in its place")]),
    ("files are renamed and never forced, the record last", UNFORCED, [
        (calls.order_of_writing, "is renamed before it is forced"),
        (calls.order_of_writing, "the record is not renamed first"),
        (kills.kills_in_make, "the record does not know")]),
    ("one line in ten is dropped", FORGETFUL, [(kills.kills_in_log, "lost"), (crowds.fifty_lines_at_once, "lost")]),
    ("a log is written without a lock", UNLOCKED, [(crowds.fifty_lines_at_once, "lost")]),
    ("who is refused leaves a file", LITTERING, [(disks.full_disk, "was left")]),
    ("every run says that it succeeded", CAREFREE, [
        (disks.full_disk_log, "lost"), (disks.fixed_files, "exit 0"), (disks.full_disk, "is neither old nor new")]),
    ("who waits is not told for whom", SILENT, [(crowds.who_holds_the_lock, "does not say who holds it")]),
]


def main():
    """Every plant, and every fault that must tell of it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("binary")
    parser.add_argument("--only", default="")
    arguments = parser.parse_args()
    true, missed = str(Path(arguments.binary).resolve()), 0
    for name, plant, faults in PLANTS:
        if arguments.only not in name:
            continue
        with tempfile.TemporaryDirectory() as folder:
            planted = Path(folder) / "planted"
            planted.write_text(HEAD.format(python=sys.executable, true=true) + plant)
            planted.chmod(0o755)
            program = Program(planted, 60, 1)
            try:
                for fault, words in faults:
                    told = [what for what in fault(program).found if words in what]
                    missed += not told
                    ending = f"tells of it {len(told)} times" if told else "MISSES IT"
                    print(f"{name}: {fault.__name__} {ending}", flush=True)
            finally:
                program.remove()
    sys.exit(1 if missed else 0)


if __name__ == "__main__":
    main()
