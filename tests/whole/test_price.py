"""The price of a job through everything: deeds, its file, both kinds of issue, and every paper added up again."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import replace
from decimal import Decimal
from hashlib import sha256
from io import BytesIO, StringIO
from pathlib import Path

import ezdxf
import openpyxl
import pytest

from leakmap.issue.marked_dxf.record import record_in
from leakmap.issue.price_words import price_csv
from leakmap.model.job import Job, Numbers
from leakmap.model.rates import Per, Rates
from leakmap.model.words import Purpose
from leakmap.repair.price import TAX, priced
from leakmap.repair.work_out import repairs
from leakmap.work.edits.rates import set_currency, set_rate, set_rates_per
from leakmap.work.edits.splits import split_joint
from leakmap.work.issuing import Issue, issue
from leakmap.work.ledger_rows import revision_table
from leakmap.work.storing import report
from tests.helpers.job_files import AT
from tests.helpers.open_jobs import kept_in, new_job
from tests.helpers.page_texts import page_texts
from tests.helpers.priced_job import EUR, priced_job


def total_of(job: Job) -> Decimal:
    """What a job costs."""
    return priced(job, repairs(job)).total


def test_rates_are_undone_done_again_and_kept(tmp_path: Path) -> None:
    """After each deed, each undo and each redo the file holds the very job, so whoever opens it finds the same price."""
    job = priced_job(Rates())
    work = new_job(tmp_path, job)
    states = [job]
    for deed in (
        lambda old: set_currency(old, currency="TND"),
        lambda old: set_rate(old, name="slot_plug", value=Decimal("61.5555")),
        lambda old: set_rate(old, name="zone", value=Decimal("0.0005")),
        lambda old: set_rates_per(old, per=Per.FOOT),
        lambda old: set_rate(old, name="slot_plug", value=None),
    ):
        work.do(deed(work.job))
        states.append(work.job)
    for state in reversed(states[:-1]):
        work.undo()
        assert work.job == state == kept_in(work.file.path)
    for state in states[1:]:
        work.redo()
        assert work.job == state == kept_in(work.file.path)
    work.close()
    again = kept_in(tmp_path / "pit.gpkg")
    assert price_csv(again, repairs(again)) == price_csv(states[-1], repairs(states[-1]))


@pytest.mark.parametrize("at_m", [0.5, 1.0, 2.317, 3.0, 3.9991])
def test_splitting_a_joint_changes_no_price(at_m: float) -> None:
    """Every joint split at the same chainage, in sound concrete or in a leak: zones, lengths and so every sum stay."""
    job = priced_job(numbers=Numbers(joint=9, vertical=9, leak=9))
    before = total_of(job)
    for key, joint in job.joints.items():
        if at_m < joint.length_m - 0.01:
            assert total_of(split_joint(job, joint=key, at_m=at_m).job) == before, joint.ref


@pytest.fixture(scope="module")
def for_price() -> Issue:
    """P01 of a job of which one zone is not priced."""
    return made(priced_job(replace(EUR, slot=None)), Purpose.PRICE)


def made(job: Job, purpose: Purpose) -> Issue:
    """The next issue of a job without drawings."""
    return issue(job, purpose=purpose, to_whom="The client", by="A. Rook", at=AT, sources={}, drawings={})


def paper(of: Issue, ending: str) -> bytes:
    """The paper whose name ends so."""
    (found,) = (content for name, content in of.papers.items() if name.endswith(ending))
    return found


@pytest.mark.slow
def test_every_paper_adds_up_to_the_same_total(for_price: Issue) -> None:
    """Printed rows of the PDF, rows of the table, lines of the JSON and cells of the workbook, each summed by itself.

    By hand, from ``tests/unit/repair/test_price.py``: 172.53 + 339.39 + 88.02 + 450.00 = 1049.94.
    """
    total = Decimal("1049.94")
    rows = csv.DictReader(StringIO(paper(for_price, "price.csv").decode()))
    assert sum(Decimal(row["amount"]) for row in rows if row["amount"]) == total
    said = json.loads(paper(for_price, "schedule.json"), parse_float=Decimal)["price"]
    lines = [line for zone in said["zones"] for line in zone["lines"]] + said["job"]
    assert sum(line["amount"] for line in lines) == said["total"] == total
    assert all(abs(line["quantity"] * line["rate"] - line["amount"]) <= Decimal("0.005") for line in lines)
    cells = openpyxl.load_workbook(BytesIO(paper(for_price, "workbook.xlsx")), data_only=True)["Price"]
    assert (
        sum(Decimal(str(row[6])) for row in cells.iter_rows(min_row=2, values_only=True) if row[6] is not None) == total
    )
    text = " ".join(page_texts(paper(for_price, "repair schedule.pdf")))
    printed = re.findall(r"([0-9.]+) (?:m|each) ([0-9.]+) ([0-9]+\.[0-9]{2})\b", text)
    assert len(printed) == len(lines)
    assert sum(Decimal(amount) for *_, amount in printed) == total
    assert all(abs(Decimal(q) * Decimal(rate) - Decimal(amount)) <= Decimal("0.005") for q, rate, amount in printed)
    for words in (
        TAX,
        f"Total, without tax; not all zones are priced {total}",
        "1 zone is not priced: no rate for slot, no plug (Z-04).",
        "96.40",
    ):
        assert words in text
    *_, told = report(for_price, repairs(for_price.job), ())
    assert told == f"Price {total}\xa0EUR. 1 zone is not priced: no rate for slot, no plug (Z-04). {TAX}"


@pytest.mark.slow
def test_what_goes_to_the_crew_holds_no_money(for_price: Issue) -> None:
    """Neither a paper nor what a marked drawing keeps in itself; the job and its file keep rates and the price as issued.

    The checksum in the list of revisions is that of the schedule which went out.
    """
    work = made(for_price.job, Purpose.WORK)
    schedule = sha256(paper(work, "schedule.json")).hexdigest()
    assert schedule != work.revision.schedule_sha256
    assert schedule.startswith(str(revision_table(work.job, None).lines[-1].values["checksum"]))
    assert work.job.rates == for_price.job.rates
    assert json.loads(work.schedule, parse_float=str)["price"]["total"] == "1049.94"
    assert not [name for name in work.papers if "price" in name]
    for name, content in work.papers.items():
        for words in spoken(name, content):
            assert "61.55" not in words, name
            assert "EUR" not in words, name
    assert any("61.55" in words for name, content in for_price.papers.items() for words in spoken(name, content))


def spoken(name: str, content: bytes) -> list[str]:
    """Everything that a paper says, unpacked."""
    if name.endswith(".pdf"):
        return page_texts(content)
    if name.endswith(".xlsx"):
        book = openpyxl.load_workbook(BytesIO(content))
        return [str(cell) for sheet in book for row in sheet.values for cell in row]
    text = content.decode()
    if name.endswith(".dxf"):
        record = record_in(ezdxf.read(StringIO(text)), name)
        return [text] if record is None else [text, record.frozen]
    return [text]
