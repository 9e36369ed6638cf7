"""Each page works; then what is refused."""

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from threading import Event, Thread
from time import monotonic, sleep

import pytest
from PIL import Image
from starlette.testclient import TestClient
from tests.web.desks import case_file, demo_desk, visitor

from thumbwright.cli.serving import copy_on_schedule
from thumbwright.storage.records import Edit, Part
from thumbwright.web.desk import Desk

CASE_PAGES = (
    "",
    "/photographs",
    "/films",
    "/level",
    "/options",
    "/plan",
    "/papers",
    "/history",
    "/growth",
)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with demo_desk(tmp_path) as desk:
        yield desk


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with visitor(desk) as client:
        yield client


@pytest.mark.parametrize("page", CASE_PAGES)
def test_every_page_of_a_case_opens_and_names_it(client: TestClient, page: str) -> None:
    answer = client.get(f"/cases/girl{page}")
    assert answer.status_code == 200
    assert "Girl 7" in answer.text
    assert "decides nothing" in answer.text


def test_the_list_finds_by_mechanism(client: TestClient) -> None:
    assert "Farmer 58" in client.get("/").text
    found = client.get("/", params={"search": "avulsion"}).text
    assert "Farmer 58" in found
    assert "Joiner 41" not in found


def test_pages_say_what_the_plan_says(client: TestClient, desk: Desk) -> None:
    paper = desk.result(desk.cases.case("girl")).paper
    assert paper is not None
    assert paper.glance.plan_a in client.get("/cases/girl/plan").text
    level = client.get("/cases/girl/level").text
    assert paper.level in level
    options = client.get("/cases/girl/options").text
    assert all(row.technique in options for row in paper.options)  # type: ignore[union-attr]


def test_every_drawing_on_the_level_page_can_be_had(client: TestClient) -> None:
    text = client.get("/cases/girl/level").text
    sources = [part.split('"')[0] for part in text.split('<img src="')[1:]]
    assert len(sources) == 6
    for source in sources:
        answer = client.get(source)
        assert answer.status_code == 200
        assert answer.headers["content-type"].startswith("image/svg+xml")


def test_a_case_from_a_file_is_there_with_its_facts(client: TestClient, desk: Desk) -> None:
    files = {"file": ("case.json", case_file())}
    answer = client.post("/cases/from-file", files=files)
    assert "Turner" in answer.text
    (row,) = desk.cases.cases("Turner")
    assert desk.cases.history(row.key)[0].made_by == "Dr A"


def test_a_faulty_case_file_tells_every_fault_and_keeps_nothing(
    client: TestClient, desk: Desk
) -> None:
    files = {"file": ("case.json", case_file(examined_on="soon", case_id=""))}
    answer = client.post("/cases/from-file", files=files)
    assert answer.status_code == 400
    assert "examined_on" in answer.text
    assert "case_id" in answer.text
    assert len(desk.cases.cases()) == 5


def test_a_paper_is_issued_numbered_and_goes_out_of_date(client: TestClient, desk: Desk) -> None:
    assert "Paper 1 was issued" in client.post("/cases/girl/papers").text
    pdf = client.get("/cases/girl/papers/1.pdf")
    assert pdf.content.startswith(b"%PDF")
    assert "Agrees with the facts" in client.get("/cases/girl/papers").text
    case = desk.cases.case("girl")
    edit = Edit(path=("patient", "smoking"), value=None)
    desk.cases.record("girl", Part.FACTS, [edit], "B", "asked again", based_on=case.version)
    text = client.get("/cases/girl/papers").text
    assert "Out of date" in text
    assert "asked again" in text
    assert client.get("/cases/girl/papers/1.pdf").content == pdf.content


def test_a_decision_against_the_proposal_is_recorded_with_its_reasons(
    client: TestClient, desk: Desk
) -> None:
    paper = desk.result(desk.cases.case("girl")).paper
    assert paper is not None
    other = paper.options[-1].technique  # type: ignore[index]
    form = {"plan_a": other, "fallback": "", "reasons": "the family wishes it", "based_on": 2}
    text = client.post("/cases/girl/plan", data=form).text
    assert "the family wishes it" in text
    assert desk.cases.history("girl")[-1].part is Part.DECISION
    again = client.post("/cases/girl/plan", data=form | {"reasons": "other"})
    assert again.status_code == 409
    assert "Somebody else changed the same" in again.text


def test_a_decision_without_reasons_is_refused(client: TestClient) -> None:
    form = {"plan_a": "magic", "fallback": "", "reasons": " ", "based_on": 2}
    assert client.post("/cases/girl/plan", data=form).status_code == 400


def test_films_are_taken_in_whole_and_refusals_are_told_together(
    client: TestClient, desk: Desk
) -> None:
    _, good = desk.files.read("girl", "hand_left.dcm")
    files = [
        ("files", ("new.dcm", good)),
        ("files", ("torn.dcm", good[:-1000])),
        ("files", ("words.png", b"no picture")),
    ]
    answer = client.post("/cases/joiner/films", files=files)
    assert answer.status_code == 400
    assert "torn.dcm" in answer.text
    assert "words.png" in answer.text
    kept = {one.name for one in desk.files.of_case("joiner", "film")}
    assert "new.dcm" in kept
    assert not {"torn.dcm", "words.png"} & kept


def test_what_a_film_shows_is_said_on_the_page(client: TestClient, desk: Desk) -> None:
    _, data = desk.files.read("girl", "hand_left.dcm")
    client.post("/cases/joiner/films", files=[("files", ("new.dcm", data))])
    assert "nothing said of new.dcm" in client.get("/cases/joiner/films").text
    form = {"side": "left", "region": "hand", "view": "posteroanterior", "ball_mm": "20,0"}
    form["based_on"] = str(desk.cases.case("joiner").version)
    client.post("/cases/joiner/films/new.dcm/note", data=form)
    listed = desk.cases.case("joiner").parts[Part.FILMS]["films"]
    assert listed[-1]["ball"] == {"diameter_mm": 20.0}  # type: ignore[index,call-overload]
    wrong = client.post("/cases/joiner/films/new.dcm/note", data=form | {"ball_mm": "big"})
    assert wrong.status_code == 400
    assert "ball" in wrong.text


def test_what_is_said_anew_of_a_film_keeps_its_points(client: TestClient, desk: Desk) -> None:
    form = {"side": "left", "region": "hand", "view": "anteroposterior", "ball_mm": ""}
    client.post("/cases/girl/films/hand_left.dcm/note", data=form | {"based_on": "2"})
    listed = desk.cases.case("girl").parts[Part.FILMS]["films"]
    (film,) = [one for one in listed if one["file"] == "hand_left.dcm"]  # type: ignore[union-attr,index,call-overload]
    assert film["view"] == "anteroposterior"  # type: ignore[index,call-overload]
    assert len(film["placements"]) == 3  # type: ignore[index,call-overload,arg-type]
    assert film["ball"]  # type: ignore[index,call-overload]


def test_a_copy_is_made_on_schedule_only_if_something_changed(desk: Desk) -> None:
    stop = Event()
    copier = Thread(target=copy_on_schedule, args=(desk, stop, 0.01))
    copier.start()
    until = monotonic() + 30
    while not desk.backups() and monotonic() < until:
        sleep(0.05)
    sleep(0.3)
    stop.set()
    copier.join()
    assert len(desk.backups()) == 1


def test_a_photograph_is_kept_without_what_the_camera_wrote(client: TestClient, desk: Desk) -> None:
    out = BytesIO()
    exif = Image.Exif()
    by_hand_maker_tag = 0x010F
    exif[by_hand_maker_tag] = "A camera with a name"
    Image.new("RGB", (60, 40), (180, 140, 120)).save(out, "JPEG", exif=exif)
    files = [("files", ("palm.jpg", out.getvalue())), ("files", ("words.jpg", b"no picture"))]
    answer = client.post("/cases/girl/photographs", files=files, data={"looked": "true"})
    assert answer.status_code == 400
    assert "words.jpg" in answer.text
    picture = client.get("/cases/girl/photographs/palm.jpg/picture")
    assert Image.open(BytesIO(picture.content)).size == (60, 40)
    assert b"A camera with a name" not in picture.content
    assert [one.name for one in desk.files.of_case("girl", "photograph")] == ["palm.jpg"]


def test_a_film_is_shown_as_a_picture(client: TestClient) -> None:
    answer = client.get("/cases/girl/films/hand_left.dcm/picture.png?widest=200")
    assert answer.content.startswith(b"\x89PNG")


def test_a_change_is_taken_back(client: TestClient, desk: Desk) -> None:
    case = desk.cases.case("girl")
    edit = Edit(path=("patient", "pseudonym"), value="Somebody")
    desk.cases.record("girl", Part.FACTS, [edit], "B", "", based_on=case.version)
    text = client.post(f"/cases/girl/history/{case.version + 1}/take-back").text
    assert "takes back no. 3" in text
    assert desk.cases.case("girl").row.name == "Girl 7"


def test_a_case_is_copied_with_its_films_and_put_away(client: TestClient, desk: Desk) -> None:
    assert "This is the copy" in client.post("/cases/girl/copy").text
    assert [row.name for row in desk.cases.cases("girl")] == ["Girl 7", "Girl 7"]
    for row in desk.cases.cases("girl"):
        kept = {(one.kind, one.name, one.sha256) for one in desk.files.of_case(row.key)}
        assert kept == {(one.kind, one.name, one.sha256) for one in desk.files.of_case("girl")}
    client.post("/cases/girl/archive", data={"away": "true"})
    assert len(desk.cases.cases("girl")) == 1


def test_a_copy_of_the_records_is_made_and_read_back(client: TestClient, desk: Desk) -> None:
    assert "read back whole" in client.post("/safety/copy").text
    assert len(desk.backups()) == 1


def test_nothing_is_recorded_for_a_nobody(desk: Desk) -> None:
    with visitor(desk, who="") as nobody:
        answer = nobody.post("/cases/girl/papers")
    assert answer.status_code == 400
    assert "nobody has said who is at the desk" in answer.text
    assert desk.papers.of_case("girl") == ()


@pytest.mark.parametrize(
    "headers",
    [
        {"host": "evil.example"},
        {"origin": "http://evil.example"},
        {"sec-fetch-site": "cross-site"},
    ],
)
def test_what_another_page_asks_is_refused(
    client: TestClient, desk: Desk, headers: dict[str, str]
) -> None:
    answer = client.post("/cases/girl/papers", headers=headers)
    assert answer.status_code == 403
    assert desk.papers.of_case("girl") == ()


def test_pages_fetch_nothing_from_outside(client: TestClient) -> None:
    answer = client.get("/cases/girl/level")
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert "http://" not in answer.text
    assert "https://" not in answer.text
    assert "<script" not in answer.text
    assert "style=" not in answer.text


@pytest.mark.parametrize(
    "path",
    ["/cases/nobody", "/cases/girl/papers/9.pdf", "/cases/girl/films/x/picture.png", "/nothing"],
)
def test_what_is_not_there_is_said_in_words(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code in (400, 404)
    assert "Not done" in answer.text
    assert "allowed" in answer.text
