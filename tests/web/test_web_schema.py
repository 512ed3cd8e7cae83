"""What OpenAPI says of the interface is what the interface does: schemathesis, in this process, a few examples a route."""

from __future__ import annotations

import copy

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    negative_data_rejection,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from tests.web.conftest import BASE
from tests.web.test_web_access import LEAST, routes

CHECKS = (
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
)
LEFT_OUT = {"POST /api/leave", "DELETE /api/devices/{device}"}  # they end the very session that asks
TAKE_NOTHING = {"GET /api/about", "GET /api/jobs", "GET /api/devices"}
ROUTES = sorted(route for route in LEAST if " /api" in route and "openapi" not in route and route not in LEFT_OUT)


@pytest.fixture(scope="module")
def interface(place):
    described = copy.deepcopy(place.app.openapi())
    for methods in described["paths"].values():
        for what in methods.values():
            what.pop("security", None)  # the session is always sent here; test_web_access.py leaves it out
    return schemathesis.openapi.from_dict(described)


@pytest.fixture(scope="module")
def known(place):
    return place.job()["id"]


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE], ids=["fitting", "unfitting"])
@pytest.mark.parametrize("route", ROUTES)
def test_the_interface_keeps_its_word(place, interface, known, route, mode):
    method, path = route.split(" ")
    operation = interface[path][method]
    operation.app = place.app
    session = place.owner.client.cookies["palewright-8734"]
    own = {"X-Page-Token": place.owner.token, "Cookie": f"palewright-8734={session}"}

    @settings(max_examples=5, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
    @given(case=operation.as_strategy(generation_mode=mode))
    def one(case):
        place.app.state.house.pairing._tries.clear()
        if "job" in case.path_parameters and mode is GenerationMode.POSITIVE and method != "DELETE":
            case.path_parameters["job"] = known
        case.cookies = {}
        response = case.call(base_url=BASE, headers=own)
        unfitting = mode is GenerationMode.NEGATIVE and route not in TAKE_NOTHING
        case.validate_response(response, checks=[*CHECKS, *([negative_data_rejection] if unfitting else [])])

    try:
        one()
    except Unsatisfiable:
        assert mode is GenerationMode.NEGATIVE  # nothing unfitting can be said to a route that takes nothing


def test_every_route_of_the_interface_is_described(place):
    described = {
        f"{method.upper()} {path}" for path, methods in place.app.openapi()["paths"].items() for method in methods
    }
    assert described == {route for route in routes(place.app) if " /api" in route} - {"GET /api/openapi.json"}
