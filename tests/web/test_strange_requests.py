"""No request, however strange, breaks the server or leaves half a film in a case."""

import json
from collections.abc import Callable, Iterator
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any
from urllib.parse import quote

import numpy as np
import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from starlette.testclient import TestClient
from tests.web.desks import demo_desk, visitor

from thumbwright.core.radiograph.landmarks import Landmark
from thumbwright.interchange.films import read_film
from thumbwright.web.desk import Desk
from thumbwright.web.exam_sections import exam_pages

COOKIES = {"thumbwright_who": quote("Dr A")}
FILM_PAGE = "/cases/girl/films/hand_left.dcm"
KNOWN = {
    "key": ("girl", "joiner", "farmer"),
    "file": ("hand_left.dcm", "foot_right.dcm"),
    "name": ("scale.svg", "level.svg"),
    "number": (0, 1, 2),
}
# Copies everything there is: a few are as good as many.
DEAR = ("POST /safety/copy",)


@pytest.fixture
def fresh_client(tmp_path: Path) -> Iterator[TestClient]:
    """Give a visitor of a store of its own, as the test may take away anything."""
    with demo_desk(tmp_path) as desk, visitor(desk) as client:
        yield client


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with demo_desk(tmp_path_factory.mktemp("strange")) as desk:
        yield desk


@pytest.fixture(scope="module")
def client(desk: Desk) -> Iterator[TestClient]:
    with visitor(desk) as client:
        client.follow_redirects = False
        yield client


def examples(short: int, long: int) -> pytest.MarkDecorator:
    """Give a few examples in every run, many in the long one."""
    counts = [pytest.param(short, id="some"), pytest.param(long, id="many", marks=pytest.mark.long)]
    return pytest.mark.parametrize("count", counts)


def of_number(count: int) -> settings:
    """Return settings under which the same examples come in every run."""
    return settings(
        max_examples=count,
        derandomize=True,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )


def _kind_of_failure(fault: Exception) -> str:
    return f"{type(fault).__name__}: {str(fault).splitlines()[0][:200] if str(fault) else ''}"


@examples(3, 100)
def test_no_request_that_the_routes_allow_breaks_the_server(
    fresh_client: TestClient, count: int
) -> None:
    schema = schemathesis.openapi.from_asgi("/openapi.json", fresh_client.app)
    operations: list[Any] = [found.ok() for found in schema.get_all_operations()]  # type: ignore[union-attr]
    assert len(operations) >= 45
    failures: dict[str, str] = {}
    for operation in operations:
        try:
            _ask(operation, min(count, 3) if operation.label in DEAR else count)
        except Exception as fault:  # noqa: BLE001  every route is tried, then all are told
            failures[operation.label] = _kind_of_failure(fault)
    assert failures == {}


def _ask(operation: Any, count: int) -> None:  # noqa: ANN401  the library's own type is generic
    @of_number(count)
    @given(data=st.data())
    def asked(data: st.DataObject) -> None:
        case = data.draw(operation.as_strategy())
        for name in case.path_parameters or {}:
            if name in KNOWN and data.draw(st.integers(0, 3)):
                case.path_parameters[name] = data.draw(st.sampled_from(KNOWN[name]))
        answer = case.call(cookies=COOKIES)
        assert answer.status_code < 500, f"{case.path} {case.path_parameters} {case.body!r}"

    asked()


WILD_TEXTS = st.one_of(
    st.text(max_size=30),
    st.sampled_from(
        ["", "-1", "1e999", "nan", "inf", "9" * 30, "\x00", "not_examined", "yes", "7"]
    ),
    st.integers().map(str),
    st.floats().map(str),
    st.dates().map(str),
)


@cache
def _values() -> dict[str, st.SearchStrategy[str]]:
    """Return for each field of the examination its own choices among strange texts."""
    entries = [entry for page in exam_pages() for entry in page.entries]
    return {
        one.name: st.one_of(st.sampled_from(one.field.choices), WILD_TEXTS)
        if one.field.choices
        else WILD_TEXTS
        for one in entries
    }


@examples(12, 600)
def test_no_answer_on_a_form_breaks_the_server(client: TestClient, count: int) -> None:
    @of_number(count)
    @given(data=st.data())
    def sent(data: st.DataObject) -> None:
        page = data.draw(st.sampled_from(exam_pages()))
        names = data.draw(st.lists(st.sampled_from(page.entries), max_size=4))
        form: dict[str, Any] = {
            one.name: data.draw(st.lists(_values()[one.name], min_size=1, max_size=2))
            for one in names
        }
        form["based_on"] = data.draw(st.sampled_from(["999999999", "2", "", "-1", "²", "9" * 40]))
        way = data.draw(st.sampled_from(["", "/draft", "/give-up"]))
        encoded = _form(form)
        headers = {"content-type": "application/x-www-form-urlencoded"}
        path = f"/cases/joiner/{page.key}"
        assert client.post(path + way, content=encoded, headers=headers).status_code < 500
        assert client.get(path).status_code == 200

    sent()


def _form(form: dict[str, Any]) -> bytes:
    pairs = [
        f"{quote(name)}={quote(value.encode(errors='replace'))}"
        for name, given_ in form.items()
        for value in ([given_] if isinstance(given_, str) else given_)
    ]
    return "&".join(pairs).encode()


@pytest.mark.parametrize("based_on", [str(2**63), "9" * 30, "1e3", "-1", "", "²"])
@pytest.mark.parametrize("path", ["/cases/girl/plan", "/cases/girl/drawing", "/cases/girl/hand"])
def test_a_version_that_no_case_can_have_is_refused_in_words(
    client: TestClient, path: str, based_on: str
) -> None:
    technique = "no operation: therapy and learning with the stump as it is"
    form = {"plan_a": technique, "reasons": "so wished", "based_on": based_on}
    answer = client.post(path, data=form)
    assert 400 <= answer.status_code < 500
    assert "allowed" in answer.text


ODD_JSON = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.floats(),
        st.integers(),
        st.integers(min_value=10**309, max_value=10**400),
        st.text(st.characters(), max_size=8),
        st.just("\ud800"),
    ),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(st.text(), inner)),
    max_leaves=6,
)
ODD_PLACES = st.one_of(
    st.floats(), st.integers(-100, 3000), st.integers(10**309, 10**310), st.text(max_size=4)
)
ODD_POINTS = st.one_of(
    st.fixed_dictionaries(
        {
            "name": st.sampled_from([one.value for one in Landmark]),
            "col": ODD_PLACES,
            "row": ODD_PLACES,
            "state": st.sampled_from(["placed", "proposed", 1]),
        }
    ),
    ODD_JSON,
)
ODD_SENT = st.fixed_dictionaries(
    {
        "points": st.one_of(st.lists(ODD_POINTS, max_size=4), ODD_JSON),
        "based_on": st.one_of(st.sampled_from(["2", 2, 2**63, "²"]), ODD_JSON),
    }
)


@examples(40, 1500)
def test_no_points_on_a_film_break_the_server(client: TestClient, count: int) -> None:
    @of_number(count)
    @given(sent=st.one_of(ODD_SENT, ODD_JSON), way=st.sampled_from(["live", "rounds"]))
    def moved(sent: object, way: str) -> None:
        _post_points(client, way, sent)
        assert client.get(FILM_PAGE).status_code == 200

    moved()


def _post_points(client: TestClient, way: str, sent: object) -> int:
    headers = {"content-type": "application/json"}
    body = json.dumps(sent).encode()
    answer = client.post(f"{FILM_PAGE}/{way}", content=body, headers=headers)
    assert answer.status_code < 500
    return answer.status_code


PLACED = {"name": next(iter(Landmark)).value, "col": 10, "row": 10, "state": "placed"}


@pytest.mark.parametrize("way", ["live", "rounds"])
@pytest.mark.parametrize(
    "sent",
    [
        pytest.param({"points": [PLACED | {"col": 10**400}], "based_on": 2}, id="huge place"),
        pytest.param({"points": ["\ud800"], "based_on": 2}, id="half a letter"),
        pytest.param({"points": [PLACED | {"row": float("nan")}], "based_on": 2}, id="no number"),
    ],
)
def test_points_that_cannot_be_read_are_refused(
    client: TestClient, way: str, sent: dict[str, object]
) -> None:
    assert 400 <= _post_points(client, way, sent) < 500


def test_a_round_on_a_version_that_no_case_can_have_is_refused(client: TestClient) -> None:
    sent = {"points": [PLACED], "based_on": 2**63}
    assert 400 <= _post_points(client, "rounds", sent) < 500


@pytest.mark.parametrize("name", ["origin", "host", "cookie", "sec-fetch-site", "content-type"])
@pytest.mark.parametrize(
    "value",
    [b"", b"http://[::1", b"[", b"http://127.0.0.1:x", b"\xff\xfe", b"thumbwright_who=%ED%A0%80;=",
     b"multipart/form-data", b"multipart/form-data; boundary=\xff; charset=none"],
)  # fmt: skip
def test_no_header_breaks_the_server(client: TestClient, name: str, value: bytes) -> None:
    for path in (
        "/cases/girl/archive",
        "/cases/girl/films",
        "/cases/girl/hand",
        f"{FILM_PAGE}/live",
    ):
        headers = {name.encode(): value}
        assert client.post(path, headers=headers, content=b"a=b").status_code < 500


@cache
def _films(folder: Path) -> tuple[tuple[str, bytes], ...]:
    """Return one whole film of each kind with the ending of its name."""
    with demo_desk(folder) as desk:
        _, dicom = desk.files.read("girl", "hand_left.dcm")
    grey = np.linspace(0, 255, 64 * 48).reshape(64, 48).astype(np.uint8)
    out, small = BytesIO(), BytesIO()
    Image.fromarray(grey).save(out, "PNG")
    Image.fromarray(grey).save(small, "JPEG")
    return (".dcm", dicom), (".png", out.getvalue()), (".jpg", small.getvalue())


Draw = Callable[..., Any]


@st.composite
def _damaged(draw: Draw, whole: bytes) -> bytes:
    """Return a film that was cut short, or of which bits were turned; some are left whole."""
    near = st.integers(0, min(len(whole), 3000) - 1)
    places = st.one_of(near, near, st.integers(0, len(whole) - 1))
    way = draw(st.sampled_from(["cut", "turned", "turned", "random", "whole"]))
    if way == "whole":
        return whole
    if way == "random":
        return bytes(draw(st.binary(max_size=400)))
    if way == "cut":
        return whole[: draw(places)]
    turned = bytearray(whole)
    for at in draw(st.lists(places, min_size=1, max_size=6)):
        turned[at] ^= 1 << draw(st.integers(0, 7))
    return bytes(turned)


FILE_NAMES = st.one_of(
    st.text(max_size=20).map(lambda text: text.encode(errors="replace")),
    st.binary(max_size=12),
    st.sampled_from(
        ["..", ".", "", "hand_left", "a/b", "c:\\d", "x" * 300, "é\u202eñ", "%2f", "\x00", "?#&"]
    ).map(str.encode),
)


def _parts(name: bytes, data: bytes) -> tuple[bytes, dict[str, str]]:
    """Return the body of an upload, written by hand so that any name can be sent."""
    for bad, good in ((b"\r", b"%0D"), (b"\n", b"%0A"), (b'"', b"%22")):
        name = name.replace(bad, good)
    edge = b"--edge-of-a-part"
    body = edge + b'\r\nContent-Disposition: form-data; name="looked"\r\n\r\ntrue\r\n'
    body += edge + b'\r\nContent-Disposition: form-data; name="files"; filename="' + name
    body += (
        b'"\r\nContent-Type: application/octet-stream\r\n\r\n' + data + b"\r\n" + edge + b"--\r\n"
    )
    return body, {"content-type": "multipart/form-data; boundary=edge-of-a-part"}


@examples(16, 1000)
def test_an_upload_is_whole_in_the_case_or_not_there(
    client: TestClient, desk: Desk, tmp_path_factory: pytest.TempPathFactory, count: int
) -> None:
    films = _films(tmp_path_factory.mktemp("whole"))
    before = {one.name: one.sha256 for one in desk.files.of_case("joiner")}

    @of_number(count)
    @given(data=st.data(), name=FILE_NAMES)
    def uploaded(data: st.DataObject, name: bytes) -> None:
        ending, whole = data.draw(st.sampled_from(films))
        body, headers = _parts(name + ending.encode(), data.draw(_damaged(whole)))
        answer = client.post("/cases/joiner/films", content=body, headers=headers)
        assert answer.status_code in (303, 400, 422)
        after = {one.name: one.sha256 for one in desk.files.of_case("joiner")}
        assert after.items() >= before.items()
        fresh = after.keys() - before.keys()
        assert not fresh or answer.status_code == 303
        for file in fresh:
            _demand_whole(client, desk, file)
            desk.files.take_away("joiner", file)

    uploaded()


def _demand_whole(client: TestClient, desk: Desk, file: str) -> None:
    _, data = desk.files.read("joiner", file)
    assert read_film(data, file).shown.size > 0
    assert client.get("/cases/joiner/films").status_code == 200
    path = f"/cases/joiner/films/{quote(file, safe='')}"
    for end in ("", "/picture.png?widest=64"):
        assert client.get(path + end).status_code < 500


@examples(4, 150)
def test_a_plan_from_a_damaged_film_is_worked_out_or_refused_in_words(
    client: TestClient, desk: Desk, count: int
) -> None:
    _, whole = desk.files.read("girl", "hand_left.dcm")
    place = client.post("/cases/girl/copy").headers["location"].partition("?")[0]
    key = place.rpartition("/")[2]

    @of_number(count)
    @given(data=_damaged(whole))
    def replaced(data: bytes) -> None:
        if any(one.name == "hand_left.dcm" for one in desk.files.of_case(key)):
            desk.files.take_away(key, "hand_left.dcm")
        body, headers = _parts(b"hand_left.dcm", data)
        taken = client.post(f"{place}/films", content=body, headers=headers).status_code == 303
        for page in ("", "/films", "/level", "/options", "/plan"):
            assert client.get(place + page).status_code == 200
        assert client.get(f"{place}/films/hand_left.dcm").status_code < 500
        if not taken:
            desk.files.add(key, "film", "hand_left.dcm", "application/dicom", whole, "Dr A")

    replaced()
