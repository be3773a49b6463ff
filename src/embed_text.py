#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes files as one C array, NUL at the end: embed_text.py [--packed] INPUT... OUTPUT NAME.

Style sheets and scripts are taken without their comments and indentation.

--packed: deflated (RFC 1951) and in 85 letters, as season.html carries what is not text
(src/write/deflated.h); without any input an empty text. Beside NAME stands NAME_sha256, the digest of
the text in base64, for a Content-Security-Policy."""
import base64
import hashlib
import re
import sys
import zlib

arguments = sys.argv[1:]
packed = arguments[0] == "--packed"
*sources, target, name = arguments[packed:]
text = b""
for source in sources:
    with open(source, "rb") as file:
        content = file.read()
    if source.endswith(".css"):
        content = re.sub(rb"/\*.*?\*/", b"", content, flags=re.DOTALL)
    if source.endswith((".css", ".js")):
        lines = (line.strip() for line in content.split(b"\n"))
        content = b"\n".join(line for line in lines if line and not line.startswith(b"//")) + b"\n"
    if source.endswith(".css"):
        content = re.sub(rb"\s*([{};,])\s*|(:) ", rb"\1\2", content).replace(b";}", b"}")
    text += content
if packed and sources:
    deflate = zlib.compressobj(9, zlib.DEFLATED, -15)
    # The letters of src/write/deflated.c: Python's but for two, which would begin an entity or an element.
    text = base64.b85encode(deflate.compress(text) + deflate.flush()).translate(bytes.maketrans(b"&<", b",."))
digest = base64.b64encode(hashlib.sha256(text).digest()).decode("ascii")
data = text + b"\0"
with open(target, "w", encoding="ascii") as out:
    out.write("/* Made by src/embed_text.py. */\n")
    out.write(f"extern const char {name}[], {name}_sha256[];\n")
    out.write(f'const char {name}_sha256[] = "{digest}";\nconst char {name}[] = {{\n')
    for start in range(0, len(data), 16):
        out.write("    " + ", ".join(f"{b - 256 if b > 127 else b}" for b in data[start : start + 16]) + ",\n")
    out.write("};\n")
