#!/usr/bin/env python3
"""Holds docs/circuit-file.schema.json against the reader, with a general-purpose validator (the package jsonschema).

Whatever the reader takes without an error, the schema must take. Tried are the examples, the fuzzing corpus, and the examples with
one line changed: left out, its key misspelt, its value of another type, another kind.
Run:  pip install jsonschema; cargo build -p stemwise; python3 scripts/check_circuit_schema.py target/debug/stemwise
"""
import json
import pathlib
import re
import subprocess
import sys
import tempfile
import tomllib

import jsonschema

ROOT = pathlib.Path(__file__).resolve().parent.parent
SCHEMA = json.loads((ROOT / "docs/circuit-file.schema.json").read_text())
KINDS = sorted(set(re.findall(r'"([a-z-]+)"', (ROOT / "crates/answer/examples/circuit_page/kinds.rs").read_text())))


def reader_takes(stemwise, data):
    with tempfile.NamedTemporaryFile(suffix=".toml") as file:
        file.write(data)
        file.flush()
        run = subprocess.run([stemwise, "check", file.name, "--json"], capture_output=True, text=True)
    answer = json.loads(run.stdout)
    return not any(problem["severity"] == "error" for problem in answer.get("problems", [{"severity": "error"}]))


def changes(text):
    lines = text.splitlines()
    for n, line in enumerate(lines):
        def changed(new):
            return "\n".join(lines[:n] + new + lines[n + 1 :]) + "\n"

        if not line.strip():
            continue
        yield changed([])
        if " = " in line and not line.startswith(" "):
            key, value = line.split(" = ", 1)
            yield changed([f"{key}x = {value}"])
            for other in ("7", "true", '"7"', "[]", "{}", '["1", "2"]'):
                yield changed([f"{key} = {other}"])
        if line.startswith("kind = "):
            for kind in KINDS:
                yield changed([f'kind = "{kind}"'])


def main():
    stemwise = sys.argv[1]
    validator = jsonschema.Draft202012Validator(SCHEMA)
    validator.check_schema(SCHEMA)
    examples = sorted((ROOT / "examples/circuits").glob("*.toml"))
    examples.append(ROOT / "crates/answer/examples/circuit_page/bare.toml")
    texts = [path.read_bytes() for path in examples + sorted((ROOT / "crates/circuit/tests/corpus").iterdir())]
    texts += [text.encode() for path in examples for text in changes(path.read_text())]
    count = {"both take": 0, "both refuse": 0, "only the reader refuses": 0, "not TOML": 0}
    wrong = []
    for text in texts:
        try:
            document = tomllib.loads(text.decode())
        except (UnicodeDecodeError, tomllib.TOMLDecodeError):
            count["not TOML"] += 1
            continue
        faults = list(validator.iter_errors(document))
        takes = reader_takes(stemwise, text)
        if takes and faults:
            wrong.append((text, faults[0].message))
        elif takes:
            count["both take"] += 1
        else:
            count["both refuse" if faults else "only the reader refuses"] += 1
    for text, message in wrong[:5]:
        print(f"the reader takes what the schema refuses ({message}):\n{text.decode()}")
    print(f"{len(texts)} files: {count}; taken by the reader alone: {len(wrong)}")
    sys.exit(bool(wrong) or not examples or not count["both take"] or not count["both refuse"])


if __name__ == "__main__":
    main()
