"""Who may come in: codes for new devices, the list of devices, ends of sessions."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import Path, Request, Response

from palewright.web import shapes
from palewright.web.routes import address_of, router
from palewright.web.security import Anyone, Crew, Owner, cookie_name, sign_in
from palewright.web.words import device_name, language_of

__all__ = ["api"]

api = router("devices")


@api.post("/pairing", status_code=201)
def new_code(visit: Owner, new: shapes.NewPairing, request: Request) -> shapes.PairingCode:
    """Make a code that lets one device in, once, in the next minutes."""
    import segno

    made = visit.house.store.people.code(new.role, by=visit.by)
    shared = visit.house.settings.hosts
    home = f"https://{shared[0]}" if shared else address_of(request)
    url = f"{home}/pair#{made.code}"
    picture = segno.make(url, error="m", micro=False).svg_data_uri(scale=4, border=4, dark="#000", light="#fff")
    return shapes.PairingCode(code=made.code, role=made.role, until=made.until, url=url, qr=picture)


@api.post("/pair", status_code=201)
def pair(visit: Anyone, new: shapes.Pair, request: Request, response: Response) -> shapes.Device:
    """Let this device in with a code. Codes may be tried a few times a minute."""
    visit.house.pairing.take(visit.address)
    made = visit.house.store.people.pair(new.code, new.name)
    sign_in(request, response, visit.house, made.token)
    return shapes.Device.of(made.device, made.device.id)


@api.get("/devices")
def devices(visit: Owner, request: Request) -> list[shapes.Device]:
    """Every device that was let in, those whose session was ended too."""
    assert visit.device is not None
    found, language = visit.house.store.people.devices(), language_of(request.headers)
    named = (replace(device, name=device_name(device.name, language)) for device in found)
    return [shapes.Device.of(device, visit.device.id) for device in named]


@api.delete("/devices/{device}")
def end(visit: Owner, device: Annotated[str, Path(max_length=64)]) -> shapes.Device:
    """End the session of a device, at once."""
    assert visit.device is not None
    ended = visit.house.store.people.end(device)
    visit.house.sessions.forget()
    return shapes.Device.of(ended, visit.device.id)


@api.post("/leave")
def leave(visit: Crew, response: Response) -> shapes.Done:
    """End the session of this device."""
    assert visit.device is not None
    visit.house.store.people.end(visit.device.id)
    visit.house.sessions.forget()
    response.delete_cookie(cookie_name(visit.house.settings.port), path="/")
    return shapes.Done()
