#!/usr/bin/env python3
"""Lists the stock of a shop, records a lug width on one watch, and sends the same again: it is recorded once.

Usage: MIDCASE_TOKEN=midcase_… python3 example.py https://shop.example WATCH

Needs the standard library alone. A person of the shop makes the token on the page "Your account".
"""

import json
import os
import sys
import urllib.error
import urllib.request
import uuid


class Shop:
    def __init__(self, address, token):
        self.base = address.rstrip("/") + "/api/v1"
        self.token = token

    def send(self, method, path, body=None, key=None):
        request = urllib.request.Request(self.base + path, method=method)
        request.add_header("Authorization", "Bearer " + self.token)
        if body is not None:
            request.data = json.dumps(body).encode()
            request.add_header("Content-Type", "application/json")
        if key is not None:
            request.add_header("Idempotency-Key", key)
        try:
            with urllib.request.urlopen(request) as answer:
                return json.load(answer)
        except urllib.error.HTTPError as refused:
            problem = json.load(refused)
            sys.exit(f"{method} {path}: {problem.get('detail') or problem['title']}")

    def pages(self, path):
        """Walks a list page by page."""
        cursor = ""
        while True:
            page = self.send("GET", f"{path}?limit=50" + (f"&cursor={cursor}" if cursor else ""))
            yield from page["items"]
            cursor = page.get("next")
            if not cursor:
                return


def main():
    if len(sys.argv) != 3 or "MIDCASE_TOKEN" not in os.environ:
        sys.exit(__doc__)
    shop, watch = Shop(sys.argv[1], os.environ["MIDCASE_TOKEN"]), sys.argv[2]
    for line in shop.pages("/stock"):
        value = line.get("value")
        worth = f"{value['median']:,.0f} {value['currency']}" if value else "no value yet"
        print(f"#{line['watch']['number']} {line['watch']['title']}: {worth}")

    width = {"items": [{"kind": "dimension", "data": {"what": "lug_width", "mm": 18.05}}]}
    key = str(uuid.uuid4())  # another one for each thing to record
    first = shop.send("POST", f"/watches/{watch}/evidence", width, key)["items"][0]
    print("recorded", first["data"]["what"], "as", first["id"])
    again = shop.send("POST", f"/watches/{watch}/evidence", width, key)["items"][0]
    print("the same again:", "recorded once" if again["id"] == first["id"] else "recorded twice")


if __name__ == "__main__":
    main()
