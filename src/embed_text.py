#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes a text file as a C array, NUL at the end: embed_text.py INPUT OUTPUT NAME."""
import sys

source, target, name = sys.argv[1:4]
with open(source, "rb") as file:
    data = file.read() + b"\0"
with open(target, "w", encoding="ascii") as out:
    out.write("/* Made from a text file by src/embed_text.py. */\n")
    out.write(f"extern const char {name}[];\nconst char {name}[] = {{\n")
    for start in range(0, len(data), 16):
        out.write("    " + ", ".join(f"{b - 256 if b > 127 else b}" for b in data[start : start + 16]) + ",\n")
    out.write("};\n")
