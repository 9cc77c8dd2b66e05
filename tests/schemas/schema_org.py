"""Writes schema-org.json: the properties of the types that published pages use, with what each may hold.

    npm pack schema-dts@2.1.0 && tar xzf schema-dts-2.1.0.tgz
    python schema_org.py package/dist/schema.d.ts > schema-org.json

`kinds` are a type and those it is a kind of; `properties` are its own and theirs, deprecated ones left out.
"""

import json
import re
import sys

TYPES = ["ItemList", "ListItem", "Offer", "Organization", "Product", "PropertyValue", "Vehicle"]


def main(path):
    text = open(path, encoding="utf-8").read()
    bases = {}
    for name, above, body in re.findall(r"^interface (\w+)Base(?: extends ([^{]+))? \{\n(.*?)^\}", text, re.M | re.S):
        above = [base.strip().removesuffix("Base") for base in above.split(",") if base.strip().endswith("Base")]
        properties = {}
        for note, key, holds in re.findall(r'(/\*\*.*?\*/)\s*"(\w+)"\?: SchemaValue<(.*?), "\w+">;', body, re.S):
            if "@deprecated" not in note:
                properties[key] = sorted(kind.strip() for kind in holds.split("|") if kind.strip() != "IdReference")
        bases[name] = (above, properties)

    def kinds(name):
        found = [name]
        for base in bases.get(name, ([], {}))[0]:
            found += [kind for kind in kinds(base) if kind not in found]
        return found

    types = {}
    for name in TYPES:
        properties = {}
        for kind in kinds(name):
            properties.update(bases.get(kind, ([], {}))[1])
        types[name] = {"kinds": sorted(kinds(name)), "properties": dict(sorted(properties.items()))}
    json.dump({"source": "schema-dts 2.1.0, from schema.org; Apache-2.0", "types": types}, sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main(sys.argv[1])
