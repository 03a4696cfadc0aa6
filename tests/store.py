"""An S3 server, moto's (PyPI), for tests/it/store.rs, and what any S3 tool does with it, by boto3.

Prints its port; then takes one command a line, a JSON list, and answers each with a line of JSON. Ends with its input.
"""
import json
import logging
import os
import pathlib
import sys
import threading
import time
import urllib.parse

import boto3
from moto.server import DomainDispatcherApplication, create_backend_app
from werkzeug.serving import make_server

BUCKET = "office"
NOON = "1773489600"  # as the office of the tests dates its files
faults = {}  # key: [what, readings that go well before, readings that go wrong]


class Faulty:
    """The server, with keys whose reading goes wrong."""

    def __init__(self, app):
        self.app = app

    def __call__(self, environ, start):
        key = urllib.parse.unquote(environ["PATH_INFO"]).removeprefix(f"/{BUCKET}/")
        fault = faults.get(key)
        if environ["REQUEST_METHOD"] != "GET" or not fault:
            return self.app(environ, start)
        what, well, wrong = fault
        if well > 0 or wrong == 0:
            fault[1] -= 1
            return self.app(environ, start)
        fault[2] -= 1
        if what == "slow":
            time.sleep(4)
            return self.app(environ, start)
        if what == "cut":
            return self.cut(environ, start)
        code = {403: "AccessDenied", 404: "NoSuchKey"}[what]
        start(f"{what} {code}", [("Content-Type", "application/xml")])
        return [f"<Error><Code>{code}</Code><Message>as told</Message></Error>".encode()]

    def cut(self, environ, start):
        """Promises the whole object and breaks off after half of it."""
        body = b"".join(self.app(environ, start))
        yield body[: len(body) // 2]
        raise ConnectionAbortedError


def up(s3, folder, prefix):
    root = pathlib.Path(folder)
    for path in root.rglob("*"):
        if path.is_file():
            key = f"{prefix}/{path.relative_to(root)}"
            s3.put_object(Bucket=BUCKET, Key=key, Body=path.read_bytes(), Metadata={"mtime": str(path.stat().st_mtime)})


def objects(s3, prefix):
    pages = s3.get_paginator("list_objects_v2").paginate(Bucket=BUCKET, Prefix=prefix)
    return [entry for page in pages for entry in page.get("Contents", [])]


def down(s3, prefix, folder):
    for entry in objects(s3, prefix + "/"):
        path = pathlib.Path(folder, entry["Key"].removeprefix(prefix + "/"))
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(s3.get_object(Bucket=BUCKET, Key=entry["Key"])["Body"].read())


def obey(s3, what, *args):
    if what == "up":
        up(s3, *args)
    elif what == "down":
        down(s3, *args)
    elif what == "put":
        s3.put_object(Bucket=BUCKET, Key=args[0], Body=args[1].encode(), Metadata={"mtime": NOON})
    elif what == "tags":
        return {entry["Key"]: entry["ETag"] + str(entry["LastModified"]) for entry in objects(s3, args[0])}
    elif what == "fault":
        faults[args[0]] = list(args[1:])
    else:
        raise ValueError(what)
    return None


def main():
    logging.getLogger("werkzeug").disabled = True
    server = make_server("127.0.0.1", 0, Faulty(DomainDispatcherApplication(create_backend_app)), threaded=True)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    port = server.socket.getsockname()[1]
    s3 = boto3.client("s3", endpoint_url=f"http://127.0.0.1:{port}", region_name="us-east-1",
                      aws_access_key_id="office", aws_secret_access_key="of invented keys")
    s3.create_bucket(Bucket=BUCKET)
    print(port, flush=True)
    for line in sys.stdin:
        print(json.dumps(obey(s3, *json.loads(line))), flush=True)


if __name__ == "__main__":
    sys.stderr = open(os.devnull, "w")  # broken connections are meant
    main()
