"""Many requests of one session wait for each other, and nobody else waits for them."""

from __future__ import annotations

import asyncio

from tests.web.conftest import run

from palewright.web.abreast import Abreast


def test_one_session_goes_on_with_a_few_and_the_others_with_theirs():
    rogue = run(_many())
    assert rogue == [k for k in range(20) if k != 10]


async def _many() -> list[int]:
    abreast, inside, order = Abreast(3), [], []
    go = asyncio.Event()

    async def ask(name: str, number: int) -> None:
        async with abreast.one(name):
            inside.append(name)
            order.append((name, number))
            await go.wait()
            inside.remove(name)

    waiting = [asyncio.create_task(ask("rogue", number)) for number in range(20)]
    while inside.count("rogue") < 3:
        await asyncio.sleep(0)
    waiting += [asyncio.create_task(ask("honest", number)) for number in range(2)]
    while inside.count("honest") < 2:
        await asyncio.sleep(0)
    assert inside.count("rogue") == 3
    waiting[10].cancel()
    go.set()
    await asyncio.gather(*waiting, return_exceptions=True)
    assert not abreast._gates
    assert not abreast._here
    return [number for name, number in order if name == "rogue"]


def test_the_guard_holds_a_session_to_it(place):
    guard = place.app.middleware_stack
    while not hasattr(guard, "_abreast"):
        guard = guard.app
    seen = []
    plain = guard._abreast.one
    guard._abreast.one = lambda name: seen.append(name) or plain(name)
    try:
        place.crew.get("/api/jobs")
        place.nobody.get("/pair")
    finally:
        guard._abreast.one = plain
    assert seen[0] == place.crew.client.cookies["palewright-8734"]
    assert seen[1].startswith("10.0.0.")


def test_loops_do_not_wait_for_each_other() -> None:
    """What waits in one loop cannot be woken from another: each counts its own."""
    abreast = Abreast(1)

    async def held() -> None:
        async with abreast.one("phone"):
            await asyncio.wait_for(asyncio.to_thread(run, quick()), 5.0)

    async def quick() -> None:
        async with abreast.one("phone"):
            done.append("other loop")

    done: list[str] = []
    run(held())
    assert done == ["other loop"]
