"""A mail server on the loopback: keeps every message it takes as a file, and refuses whom it is told to.

Arguments: the folder to keep messages in, and the port. Prints `ready` when it listens.
A message becomes NUMBER.eml, as it came over the wire; its envelope NUMBER.json.
Mail to refused@ is refused for good, mail to later@ for now.
"""

import asyncio
import json
import os
import sys

from aiosmtpd.smtp import SMTP

folder, port = sys.argv[1], int(sys.argv[2])


class Keep:
    taken = 0

    async def handle_RCPT(self, server, session, envelope, address, options):
        if address.startswith("refused@"):
            return "550 5.1.1 there is no such mailbox"
        if address.startswith("later@"):
            return "451 4.3.0 try again later"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):
        Keep.taken += 1
        name = os.path.join(folder, f"{Keep.taken:04}")
        with open(name + ".json", "w") as file:
            json.dump({"from": envelope.mail_from, "to": envelope.rcpt_tos}, file)
        with open(name + ".part", "wb") as file:
            file.write(envelope.original_content)
        os.rename(name + ".part", name + ".eml")
        return "250 OK"


async def main():
    loop = asyncio.get_running_loop()
    server = await loop.create_server(lambda: SMTP(Keep()), "127.0.0.1", port)
    print("ready", flush=True)
    await server.serve_forever()


asyncio.run(main())
