"""The password of the mail account: from the environment or from the system's keyring, never from a file or an option."""

from __future__ import annotations

from collections.abc import Mapping

from grader.errors import GraderError

VARIABLE = "GRADER_MAIL_PASSWORD"


def find_password(host: str, user: str, environment: Mapping[str, str]) -> str:
    """The password of a user at a host. Raises GraderError, saying how to give it, when there is none."""
    if environment.get(VARIABLE):
        return environment[VARIABLE]
    service = f"grader mail {host}"
    found, hint = _from_keyring(service, user)
    if found:
        return found
    raise GraderError(
        f"There is no password for {user} at {host}. Set the environment variable {VARIABLE}, or {hint} and run: "
        f'keyring set "{service}" {user}'
    )


def _from_keyring(service: str, user: str) -> tuple[str, str]:
    try:
        import keyring
        from keyring.errors import KeyringError
    except ImportError:
        return "", "install the extra for keyrings (in the folder of the README: python -m pip install '.[keyring]')"
    try:
        return keyring.get_password(service, user) or "", "keep it in the system's keyring"
    except KeyringError:
        return "", "unlock the system's keyring"
