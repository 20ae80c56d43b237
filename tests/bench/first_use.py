#!/usr/bin/env python3
"""How long a tablet takes on a slow line until its page can be used for the first time.

    first_use.py ADDRESS EMAIL PASSWORD [--runs 5] [--own-certificate]

ADDRESS is a running service, https://127.0.0.1:8443 say: as tablets reach it, by HTTPS and so by HTTP/2, whose one connection
carries all files at once (`--own-certificate` where no browser knows its certificate). Chromium is slowed to a third-generation mobile line: 1.6 Mbit/s down,
768 kbit/s up, 300 ms for each exchange (the "3G" that web page testing services use; from memory). Nothing is kept from before:
each run has a new browser that signs in first, on a clear line. Told are the milliseconds until the crews can be tapped, the
number of files and what went over the line. Needs selenium, Chromium and its driver.
"""

import argparse
import os
import statistics
import tempfile
import time

from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import WebDriverWait

LINE = {"offline": False, "latency": 300, "downloadThroughput": 1_600_000 / 8, "uploadThroughput": 768_000 / 8}


def browser(profile, own_certificate):
    options = webdriver.ChromeOptions()
    options.binary_location = os.environ.get("ROUNDHAND_TEST_CHROMIUM", "/usr/bin/chromium")
    for flag in ("headless=new", "no-sandbox", "disable-gpu", "disable-quic", "no-first-run", "disable-background-networking",
                 "disable-component-update", "disable-sync", f"user-data-dir={profile}"):
        options.add_argument(f"--{flag}")
    if own_certificate:
        options.add_argument("--ignore-certificate-errors")
    driver = os.environ.get("ROUNDHAND_TEST_CHROMEDRIVER", "/usr/bin/chromedriver")
    return webdriver.Chrome(options, webdriver.ChromeService(driver))


def once(args):
    with tempfile.TemporaryDirectory() as profile:
        page = browser(profile, args.own_certificate)
        try:
            page.get(f"{args.address}/sign-in")
            page.find_element(By.ID, "email").send_keys(args.email)
            page.find_element(By.ID, "password").send_keys(args.password)
            page.find_element(By.CSS_SELECTOR, "form [type=submit]").click()
            WebDriverWait(page, 30).until(lambda it: it.find_elements(By.CSS_SELECTOR, ".band-user"))
            page.execute_cdp_cmd("Network.enable", {})
            page.execute_cdp_cmd("Network.clearBrowserCache", {})
            page.execute_cdp_cmd("Network.emulateNetworkConditions", LINE)
            begun = time.monotonic()
            page.get(f"{args.address}/tablet")
            WebDriverWait(page, 60, 0.02).until(lambda it: it.find_elements(By.CSS_SELECTOR, "[data-do=crew]"))
            took = 1000 * (time.monotonic() - begun)
            files = page.execute_script(
                "return performance.getEntriesByType('resource').concat(performance.getEntriesByType('navigation'))"
                ".map(one => one.transferSize)")
            return took, len(files), sum(files)
        finally:
            page.quit()


def main():
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("address")
    ask.add_argument("email")
    ask.add_argument("password")
    ask.add_argument("--runs", type=int, default=5)
    ask.add_argument("--own-certificate", action="store_true")
    args = ask.parse_args()
    runs = [once(args) for _ in range(args.runs)]
    times = sorted(took for took, _, _ in runs)
    print(f"first_use ms: min {times[0]:.0f} median {statistics.median(times):.0f} max {times[-1]:.0f}")
    print(f"files {runs[0][1]}, {runs[0][2]} bytes over the line")


if __name__ == "__main__":
    main()
