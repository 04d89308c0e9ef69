"""Cuts out of HL7's JSON schema of FHIR R4 what a bundle of ours may hold.

    python3 tests/outside/fhir/cut_schema.py fhir.schema.json > tests/outside/fhir/r4_cut.schema.json

Kept: Bundle with the resources below as its entries, and every definition that these lead to, each word for word but for
its description. Provenance of the whole file is in README.md beside this script.
"""
import json
import sys

RESOURCES = ["Patient", "Device", "Observation", "DiagnosticReport"]


def without_descriptions(part):
    if isinstance(part, list):
        return [without_descriptions(one) for one in part]
    if not isinstance(part, dict):
        return part
    # A property may be named "description": its value is then a schema, not a sentence.
    return {key: without_descriptions(value) for key, value in part.items()
            if not (key == "description" and isinstance(value, str))}


def references(part):
    if isinstance(part, list):
        for one in part:
            yield from references(one)
    if isinstance(part, dict):
        for key, value in part.items():
            if key == "$ref" and isinstance(value, str):
                yield value.removeprefix("#/definitions/")
            else:
                yield from references(value)


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        whole = json.load(file)
    definitions = whole["definitions"]
    definitions["ResourceList"] = {"oneOf": [{"$ref": "#/definitions/" + name} for name in RESOURCES]}
    kept, waiting = {}, ["Bundle"]
    while waiting:
        name = waiting.pop()
        if name in kept:
            continue
        kept[name] = without_descriptions(definitions[name])
        waiting.extend(references(definitions[name]))
    cut = {"$schema": whole["$schema"], "id": whole["id"], "$ref": "#/definitions/Bundle",
           "definitions": {name: kept[name] for name in sorted(kept)}}
    lines = [f" {json.dumps(name)}: {json.dumps(cut['definitions'][name])}" for name in cut["definitions"]]
    head = ",\n".join(f"{json.dumps(key)}: {json.dumps(cut[key])}" for key in ("$schema", "id", "$ref"))
    print("{" + head + ",\n\"definitions\": {\n" + ",\n".join(lines) + "\n}}")


main()
