"""Try docker-compose.yml without a container engine: read it, and run each service's own command directly.

usage: compose.py COMPOSE_FILE POSTGRES_URL

What a container would have is put in its place: variables, folders below a temporary one, free ports, and the
PostgreSQL at POSTGRES_URL, whose database gets migrated. Run it in the site's environment.
"""

import os
import re
import socket
import ssl
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.parse import urlsplit
from urllib.request import HTTPRedirectHandler, HTTPSHandler, Request, build_opener

import yaml

HOST = "list.castlore.test"
SECONDS_TO_START = 60
VARIABLE = re.compile(r"\$\{(?P<name>\w+)(?P<demand>:\?[^}]+)?\}")


def check_shape(text: str) -> None:
    """Faults that only an engine would show otherwise, and the one rule: no variable has a default."""
    file = yaml.safe_load(text)
    services = file["services"]
    assert set(services) == {"db", "migrate", "web", "proxy"}, sorted(services)
    assert ":-" not in text, "a variable has a default"
    demanded = {match["name"] for match in VARIABLE.finditer(text) if match["demand"]}
    assert {match["name"] for match in VARIABLE.finditer(text)} == demanded, "a variable is nowhere demanded"
    assert {"CASTLORE_SECRET_KEY", "CASTLORE_DB_PASSWORD"} <= demanded
    for name, service in services.items():
        assert "healthcheck" in service or service["restart"] == "no", f"{name} has no healthcheck"
        for other, wanted in service.get("depends_on", {}).items():
            assert wanted["condition"] != "service_healthy" or "healthcheck" in services[other], (
                f"{name}: {other}"
            )
        for volume in service.get("volumes", []):
            source = volume.split(":")[0]
            assert source in file["volumes"] or source.startswith("${"), f"{name}: no volume {source}"
        for config in service.get("configs", []):
            assert file["configs"][config["source"]]["content"].strip()


def brought_here(text: str, home: Path, postgres_url: str) -> tuple[dict[str, Any], dict[str, str]]:
    """The file with each address and folder of a container replaced by its stand-in, and those addresses."""
    web, plain, secure = (f"127.0.0.1:{port}" for port in free_ports(3))
    for place, stand_in in {
        "postgresql://castlore:${CASTLORE_DB_PASSWORD:?set a password}@db:5432/castlore": postgres_url,
        "/srv/castlore": str(home),
        "/etc/nginx/tls": str(home / "tls"),
        "/tmp/nginx.pid": str(home / "nginx.pid"),  # noqa: S108  (in its container nothing else runs)
        "//web:8000": f"//{web}",
        "//127.0.0.1:8000": f"//{web}",
        '"--host", "0.0.0.0", "--port", "8000"': f'"--host", "127.0.0.1", "--port", "{web.split(":")[1]}"',
        "listen 80;": f"listen {plain};",
        "listen 443 ssl;": f"listen {secure} ssl;",
        "//127.0.0.1:443": f"//{secure}",
    }.items():
        assert place in text, f"docker-compose.yml no longer says {place}"
        text = text.replace(place, stand_in)
    variables = {
        "CASTLORE_HOST": HOST,
        "CASTLORE_SECRET_KEY": os.urandom(32).hex(),
        "CASTLORE_DB_PASSWORD": "the-url-has-it",
        "CASTLORE_EMAIL_HOST": "127.0.0.1",
        "CASTLORE_TLS_FOLDER": str(home / "tls"),
    }
    text = VARIABLE.sub(lambda match: variables[match["name"]], text).replace("$$", "$")
    return yaml.safe_load(text), {
        "web": f"http://{web}",
        "plain": f"http://{plain}",
        "secure": f"https://{secure}",
    }


def free_ports(count: int) -> list[int]:
    with ExitStack() as held:
        sockets = [held.enter_context(socket.socket()) for _ in range(count)]
        for each in sockets:
            each.bind(("127.0.0.1", 0))
        return [each.getsockname()[1] for each in sockets]


def own_environment(service: dict[str, Any]) -> dict[str, str]:
    """What the service's container would see: nothing of ours but the path to the programs."""
    return {"PATH": os.environ["PATH"], **service.get("environment", {})}


def run(service: dict[str, Any], *command: str, **more: str) -> None:
    subprocess.run(command, env=own_environment(service) | more, check=True)


def is_healthy(service: dict[str, Any], **more: str) -> bool:
    how, *command = service["healthcheck"]["test"]
    assert how == "CMD"
    done = subprocess.run(command, env=own_environment(service) | more, capture_output=True)
    return done.returncode == 0


@contextmanager
def running(service: dict[str, Any], *extra: str) -> Iterator[None]:
    """The service's command, from the moment its own healthcheck passes."""
    process = subprocess.Popen([*service["command"], *extra], env=own_environment(service))
    try:
        until = time.monotonic() + SECONDS_TO_START
        while not is_healthy(service):
            assert process.poll() is None, f"{service['command'][0]} ended by itself"
            assert time.monotonic() < until, f"{service['command'][0]} is not healthy yet"
            time.sleep(0.3)
        yield
    finally:
        process.terminate()
        process.wait(timeout=30)


class NoRedirect(HTTPRedirectHandler):
    def redirect_request(self, *_: Any) -> None:
        return None


def get(address: str, host: str = HOST) -> tuple[int, dict[str, str], str]:
    """Status, headers in lower case and text. The certificate is our own and is not checked."""
    unchecked = ssl.create_default_context()
    unchecked.check_hostname, unchecked.verify_mode = False, ssl.CERT_NONE
    opener = build_opener(NoRedirect, HTTPSHandler(context=unchecked))
    try:
        answer = opener.open(Request(address, headers={"Host": host}), timeout=10)
    except HTTPError as refusal:
        answer = refusal
    with answer:
        headers = {name.lower(): value for name, value in answer.headers.items()}
        return answer.status, headers, answer.read().decode()


def try_database(db: dict[str, Any], postgres_url: str) -> None:
    assert is_healthy(db, PGPORT=str(urlsplit(postgres_url).port or 5432)), "PostgreSQL does not answer"


def try_migrate(migrate: dict[str, Any]) -> None:
    run(migrate, *migrate["command"])
    env = own_environment(migrate)
    del env["CASTLORE_SECRET_KEY"]
    refused = subprocess.run(migrate["command"], env=env, capture_output=True, text=True)
    assert refused.returncode != 0, "it started without a secret"
    assert "CASTLORE_SECRET_KEY" in refused.stderr, refused.stderr


def try_web(address: str) -> None:
    status, headers, page = get(f"{address}/")
    assert status == 200, (status, page[:500])
    assert headers["content-type"].startswith("text/html"), headers
    styles = re.findall(r'href="(/static/[^"]+\.css)"', page)
    assert styles, "the home page has no style sheet"
    assert all(get(address + style)[0] == 200 for style in styles), styles
    assert get(f"{address}/", host="elsewhere.castlore.test")[0] == 400, "a foreign host name is let in"


def try_proxy(addresses: dict[str, str]) -> None:
    assert get(f"{addresses['secure']}/")[0] == 200
    status, headers, _ = get(f"{addresses['secure']}/accounts/login/")
    assert status == 200, status
    assert "Secure" in headers["set-cookie"], "the application does not know that it is read over TLS"
    assert get(f"{addresses['secure']}/media/../tls/privkey.pem")[0] in (400, 404)
    status, headers, _ = get(f"{addresses['plain']}/lists")
    assert (status, headers["location"]) == (301, f"https://{HOST}/lists"), (status, headers)


def make_certificate(folder: Path) -> None:
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", f"/CN={HOST}",
         "-keyout", folder / "privkey.pem", "-out", folder / "fullchain.pem"],
        check=True, capture_output=True,
    )  # fmt: skip


def main(compose_file: str, postgres_url: str) -> None:
    text = Path(compose_file).read_text()
    check_shape(text)
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        for name in ("media", "published", "tls"):
            (home / name).mkdir()
        file, addresses = brought_here(text, home, postgres_url)
        services = file["services"]
        make_certificate(home / "tls")
        (home / "nginx.conf").write_text(file["configs"]["nginx"]["content"])
        nginx_options = ("-c", str(home / "nginx.conf"), "-e", "stderr")

        try_database(services["db"], postgres_url)
        try_migrate(services["migrate"])
        assert "python manage.py collectstatic --noinput" in Path("Dockerfile").read_text()
        run(services["web"], "python", "manage.py", "collectstatic", "--noinput", "--verbosity", "0")
        with running(services["web"]):
            try_web(addresses["web"])
            run(services["proxy"], "nginx", "-t", "-q", *nginx_options)
            with running(services["proxy"], *nginx_options):
                try_proxy(addresses)
    print("db, migrate, web and proxy: each runs and answers")


if __name__ == "__main__":
    main(*sys.argv[1:])
