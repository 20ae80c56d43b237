"""Signs in as one person, and again when a request has signed them out."""

import os

import requests
import schemathesis

base = os.environ["CONTRACT_BASE"]
account = {"email": os.environ["CONTRACT_EMAIL"], "password": os.environ["CONTRACT_PASSWORD"]}
held = {}


@schemathesis.auth(refresh_interval=None)
class Person:
    def get(self, case, context):
        if "token" not in held:
            answer = requests.post(base + "/api/v1/sign-in", json=account, timeout=60)
            answer.raise_for_status()
            held["token"] = answer.json()["access_token"]
        return held["token"]

    def set(self, case, data, context):
        case.headers = case.headers or {}
        case.headers["Authorization"] = f"Bearer {data}"


@schemathesis.hook
def after_call(context, case, response):
    if case.path.endswith("/sign-out-everywhere"):
        held.clear()
