"""Asks as one person after the other: the next one once a request has signed somebody out everywhere."""

import os

import schemathesis

tokens = os.environ["CONTRACT_TOKENS"].split(",")


@schemathesis.auth(refresh_interval=None)
class Person:
    def get(self, case, context):
        return tokens[0]

    def set(self, case, data, context):
        case.headers = case.headers or {}
        case.headers["Authorization"] = f"Bearer {data}"


@schemathesis.hook
def after_call(context, case, response):
    if case.path.endswith("/sign-out-everywhere") and response.status_code == 204:
        tokens.pop(0)
