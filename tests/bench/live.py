#!/usr/bin/env python3
"""How long it takes until a tablet shows what the office did.

    live.py OFFICE TABLET EMAIL PASSWORD [--times 20] [--own-certificate]

OFFICE and TABLET are the addresses of running services over the same data: one and the same, or two instances on one PostgreSQL.
EMAIL and PASSWORD are a manager's, on a day that was handed out. A tablet's page is opened at TABLET in Chromium, with the first
crew that has an order left; then that order's court is held through OFFICE's API, so many times, and released again. Told are the
milliseconds from sending the hold until the tablet's screen shows it. Needs selenium, Chromium and its driver.
"""

import argparse
import json
import ssl
import statistics
import tempfile
import time
import urllib.request
import uuid

from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import WebDriverWait

from first_use import browser


class Office:
    def __init__(self, args):
        self.address = args.office
        self.trust = ssl._create_unverified_context() if args.own_certificate else None
        self.token = None
        self.token = self.ask("POST", "/sign-in", {"email": args.email, "password": args.password})["access_token"]

    def ask(self, method, path, body=None):
        headers = {"Content-Type": "application/json", "Idempotency-Key": str(uuid.uuid4())}
        if self.token:
            headers["Authorization"] = f"Bearer {self.token}"
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(f"{self.address}/api/v1{path}", data, headers, method=method)
        with urllib.request.urlopen(request, context=self.trust) as answer:
            return json.loads(answer.read() or b"null")


def tap(page, what, value):
    css = f"[data-do='{what}'][data-value='{value}']"
    WebDriverWait(page, 20, 0.05).until(lambda it: it.find_elements(By.CSS_SELECTOR, css))[0].click()


def open_tablet(page, args, site, office):
    page.get(f"{args.tablet}/sign-in")
    page.find_element(By.ID, "email").send_keys(args.email)
    page.find_element(By.ID, "password").send_keys(args.password)
    page.find_element(By.CSS_SELECTOR, "form [type=submit]").click()
    WebDriverWait(page, 30).until(lambda it: it.find_elements(By.CSS_SELECTOR, ".band-user"))
    page.get(f"{args.tablet}/tablet")
    for crew in office.ask("GET", f"/sites/{site}/crews")["items"]:
        day = office.ask("GET", f"/sites/{site}/tablet?crew_id={crew['id']}")
        left = [order for order in day["round"] if order["state"] in ("issued", "under_way")]
        begun = [order for order in left if order["state"] == "under_way"]
        now = (begun or left or [{}])[0]
        if now.get("court_id"):
            tap(page, "crew", crew["id"])
            tap(page, "person", day["people"][0]["id"])
            WebDriverWait(page, 20).until(lambda it: it.find_elements(By.CSS_SELECTOR, "#screen[data-screen=now]"))
            return now["court_id"]
    raise SystemExit("no crew has an order left on a court: hand the day out first")


def shows(page, wanted):
    held = "return [...document.querySelectorAll('#screen .notice.is-bad')].length"
    WebDriverWait(page, 20, 0.01).until(lambda it: (it.execute_script(held) > 0) == wanted)


def main():
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name in ("office", "tablet", "email", "password"):
        ask.add_argument(name)
    ask.add_argument("--times", type=int, default=20)
    ask.add_argument("--own-certificate", action="store_true")
    args = ask.parse_args()
    office = Office(args)
    site = office.ask("GET", "/sites")["items"][0]["id"]
    took = []
    with tempfile.TemporaryDirectory() as profile:
        page = browser(profile, args.own_certificate)
        try:
            court = open_tablet(page, args, site, office)
            shows(page, False)
            for _ in range(args.times):
                begun = time.monotonic()
                hold = office.ask("POST", f"/sites/{site}/courts/{court}/holds", {"reason": "glass"})
                shows(page, True)
                took.append(1000 * (time.monotonic() - begun))
                office.ask("POST", f"/sites/{site}/holds/{hold['id']}/release", {})
                shows(page, False)
        finally:
            page.quit()
    took.sort()
    print(f"live ms: min {took[0]:.0f} median {statistics.median(took):.0f} max {took[-1]:.0f} of {len(took)}")


if __name__ == "__main__":
    main()
