"""Devices: pairing codes, which role each device has, and when it may no longer come in.

Codes and tokens are kept as hashes only. A code that people type has 40 bits of chance, so it is hashed with scrypt
and a salt, lives for minutes, and is good once; a token has 256 bits and is hashed with SHA-256.

Wrong tries end a code only where they are more than the door lets through while it lives (240 a minute, 2,400 in ten
minutes): else whoever is on the network could end every code before it is used. 3,000 tries of five codes among 31^8
find one with a chance of 1.8e-8.
"""

from __future__ import annotations

import hmac
import secrets
from datetime import timedelta
from hashlib import scrypt, sha256

from palewright.errors import ProblemError
from palewright.store.core import Core, fresh_id, line, stamp
from palewright.store.database import Row, Work, refuse
from palewright.store.records import Device, Pairing, PairingCode

__all__ = ["ROLES", "People"]

ROLES = ("owner", "estimator", "crew")
TRIES = 3_000
"""Wrong codes until every code that is open ends."""
OPEN = 5
"""Codes that people type which are open at once; a further one ends the oldest."""
_LETTERS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"  # nothing that looks like something else on a phone in the sun
_UNUSED = timedelta(days=90)
_SEEN = timedelta(minutes=10)


class People:
    """Who may come in, and as what."""

    def __init__(self, core: Core) -> None:
        self._core = core

    def code(self, role: str, *, by: str, minutes: float = 10) -> PairingCode:
        """A code for one device, to be read off one screen and typed or scanned on another.

        Raises ProblemError ``role-unknown``, ``data-...``.
        """
        letters = "".join(secrets.choice(_LETTERS) for _ in range(8))
        until = self._add(letters, role, by, minutes, typed=True)
        return PairingCode(f"{letters[:4]}-{letters[4:]}", role, until)

    def opening(self, role: str = "owner", *, minutes: float = 10) -> str:
        """A long token that lets one device in, once: for the address that the program opens by itself.

        Raises ProblemError ``role-unknown``, ``data-...``.
        """
        token = secrets.token_urlsafe(32)
        self._add(token, role, "opened here", minutes, typed=False)
        return token

    def _add(self, code: str, role: str, by: str, minutes: float, *, typed: bool) -> str:
        if role not in ROLES:
            raise refuse("role-unknown", "There is no such role", found=line(role, 40), allowed=", ".join(ROLES))
        salt = secrets.token_hex(16)
        until = stamp(self._core.clock() + timedelta(minutes=minutes))
        with self._core.database.writing() as work:
            work.hold("codes")
            now = self._core.now()
            work.run("DELETE FROM codes WHERE until < :now OR used <> '' OR tries >= :most", now=now, most=TRIES)
            if typed:
                open_ = work.rows("SELECT id FROM codes WHERE typed = 1 ORDER BY made DESC, id")
                for row in open_[OPEN - 1 :]:
                    work.run("DELETE FROM codes WHERE id = :id", id=row["id"])
            work.run(
                """INSERT INTO codes (id, salt, hash, typed, role, made_by, made, until, tries, used)
                VALUES (:id, :salt, :hash, :typed, :role, :by, :now, :until, 0, '')""",
                id=fresh_id(),
                salt=salt,
                hash=_code_hash(code, salt, typed),
                typed=int(typed),
                role=role,
                by=line(by, 200),
                now=now,
                until=until,
            )
        return until

    def pair(self, code: str, name: str, *, typed: bool = True) -> Pairing:
        """Let a device in that shows a code; the code is used up.

        typed
            False: it shows the token of an opening address. The one is never taken for the other, so that a wrong
            address, which any page of the web can send a browser to, is no try of a code.

        Raises ProblemError ``pairing-refused``, in the same words for a code that is wrong, used, too old or tried too
        often; ``data-...``.
        """
        with self._core.database.writing() as work:  # the try counts before it is looked at, also among many at once
            work.hold("codes")
            if typed:
                work.run("UPDATE codes SET tries = tries + 1 WHERE typed = 1 AND used = ''")
            open_ = work.rows(
                "SELECT * FROM codes WHERE typed = :typed AND used = '' AND until >= :now AND tries <= :most",
                typed=int(typed),
                now=self._core.now(),
                most=TRIES,
            )
        match = next((row for row in open_ if _fits(code, row)), None)
        token = secrets.token_urlsafe(32)
        device: Device | None = None
        if match is not None:
            with self._core.database.writing() as work:
                work.hold("codes")
                device = self._take(work, match, line(name, 60), token)
        if device is None:
            raise refuse(
                "pairing-refused",
                "This code lets nobody in: it is mistyped, used up, or too old",
                hint="have a new one shown on the other screen",
            )
        return Pairing(device, token)

    def close(self) -> None:
        """End every opening address: whoever it was for is in already."""
        with self._core.database.writing() as work:
            work.hold("codes")
            work.run("DELETE FROM codes WHERE typed = 0")

    def _take(self, work: Work, match: Row, name: str, token: str) -> Device | None:
        now = self._core.now()
        if not work.run(
            "UPDATE codes SET used = :now WHERE id = :id AND used = '' AND until >= :now", now=now, id=match["id"]
        ):
            return None
        if match["typed"]:
            work.run("UPDATE codes SET tries = tries - 1 WHERE typed = 1 AND used = ''")
        device = Device(fresh_id(), name or "a device", match["role"], now, now)
        work.run(
            """INSERT INTO devices (id, name, role, token, made, seen, ended)
            VALUES (:id, :name, :role, :token, :made, :seen, '')""",
            id=device.id,
            name=device.name,
            role=device.role,
            token=_token_hash(token),
            made=now,
            seen=now,
        )
        return device

    def device(self, token: str) -> Device | None:
        """The device that shows a token; None where it is unknown, was ended, or was not seen for 90 days.

        Raises ProblemError ``data-...`` where the database cannot be read.
        """
        with self._core.database.reading() as work:
            rows = work.rows(
                "SELECT * FROM devices WHERE token = :token AND ended = '' AND seen >= :since",
                token=_token_hash(token),
                since=stamp(self._core.clock() - _UNUSED),
            )
        if not rows:
            return None
        if rows[0]["seen"] < stamp(self._core.clock() - _SEEN):
            self._see(rows[0]["id"])
        return _device(rows[0])

    def _see(self, device: str) -> None:
        try:
            with self._core.database.writing() as work:
                work.run("UPDATE devices SET seen = :now WHERE id = :id", now=self._core.now(), id=device)
        except ProblemError:
            return  # that a device was seen is no reason to keep it out while the disk is full

    def devices(self) -> tuple[Device, ...]:
        """Every device that was ever let in, the newest first."""
        with self._core.database.reading() as work:
            return tuple(_device(row) for row in work.rows("SELECT * FROM devices ORDER BY made DESC, id"))

    def end(self, device: str) -> Device:
        """Let a device in no more; harmless for one that was ended.

        Raises ProblemError ``device-unknown``, ``data-...``.
        """
        rows: list[Row] = []
        with self._core.database.writing() as work:
            if device.isalnum():
                work.run(
                    "UPDATE devices SET ended = :now WHERE id = :id AND ended = ''", now=self._core.now(), id=device
                )
                rows = work.rows("SELECT * FROM devices WHERE id = :id", id=device)
        if not rows:
            raise refuse("device-unknown", "There is no such device")
        return _device(rows[0])


def _code_hash(code: str, salt: str, typed: bool) -> str:
    if not typed:
        return sha256((salt + code).encode("utf-8", "replace")).hexdigest()
    plain = "".join(letter for letter in code.upper() if letter.isalnum())[:40]
    return scrypt(plain.encode("utf-8", "replace"), salt=bytes.fromhex(salt), n=2**12, r=8, p=1).hex()


def _fits(code: str, row: Row) -> bool:
    return hmac.compare_digest(_code_hash(code, row["salt"], bool(row["typed"])), row["hash"])


def _token_hash(token: str) -> str:
    return sha256(token.encode("utf-8", "replace")).hexdigest()


def _device(row: Row) -> Device:
    return Device(row["id"], row["name"], row["role"], row["made"], row["seen"], row["ended"])
