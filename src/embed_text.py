#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes files as one C array, NUL at the end: embed_text.py INPUT... OUTPUT NAME.

Beside NAME stands NAME_sha256, the digest of the text in base64, for a Content-Security-Policy."""
import base64
import hashlib
import sys

*sources, target, name = sys.argv[1:]
text = b""
for source in sources:
    with open(source, "rb") as file:
        text += file.read()
digest = base64.b64encode(hashlib.sha256(text).digest()).decode("ascii")
data = text + b"\0"
with open(target, "w", encoding="ascii") as out:
    out.write("/* Made from text files by src/embed_text.py. */\n")
    out.write(f"extern const char {name}[], {name}_sha256[];\n")
    out.write(f'const char {name}_sha256[] = "{digest}";\nconst char {name}[] = {{\n')
    for start in range(0, len(data), 16):
        out.write("    " + ", ".join(f"{b - 256 if b > 127 else b}" for b in data[start : start + 16]) + ",\n")
    out.write("};\n")
