"""Holds a SARIF log from standard input against the published schema; writes `valid`, or what is wrong.

The schema is the one of OASIS SARIF 2.1.0 as a registry package carries it: npm `@microsoft/jest-sarif` 1.0.0-beta.0
(MIT licence), lib/schemas/sarif-2.1.0-rtm.5.json. A path in TIPRING_SARIF_SCHEMA is used instead, if set.
Needs jsonschema (PyPI, MIT licence).
"""

import json
import os
import pathlib
import subprocess
import sys
import tarfile
import tempfile

import jsonschema

PACKAGE = "@microsoft/jest-sarif@1.0.0-beta.0"
MEMBER = "package/lib/schemas/sarif-2.1.0-rtm.5.json"


def schema():
    path = os.environ.get("TIPRING_SARIF_SCHEMA")
    if path:
        return json.loads(pathlib.Path(path).read_text(encoding="utf-8"))
    with tempfile.TemporaryDirectory() as folder:
        packed = subprocess.run(
            ["npm", "pack", "--silent", PACKAGE], cwd=folder, check=True, capture_output=True, text=True
        )
        with tarfile.open(pathlib.Path(folder) / packed.stdout.strip().splitlines()[-1]) as archive:
            return json.load(archive.extractfile(MEMBER))


validator = jsonschema.validators.validator_for(schema := schema())(schema)
wrong = sorted(validator.iter_errors(json.load(sys.stdin)), key=lambda e: list(map(str, e.path)))
for error in wrong:
    print("/".join(map(str, error.path)), error.message[:200])
if not wrong:
    print("valid")
