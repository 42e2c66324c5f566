"""Whatever a file holds, a reader gives an answer or refuses by name; it never breaks."""

from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.rainfall import atlas14, ghcn, warning_reader, warning_xml

DATA = Path(__file__).parents[2] / "data"
RAIN = (DATA / "rain" / "USW00003870.dly").read_bytes()[:2700]
ROWS = (DATA / "rain" / "USW00014819_by_station_2015on.csv").read_bytes()[:800]
DEPTHS = (DATA / "atlas14" / "champaign_il_depth_english_pds.csv").read_bytes()
WARNING = (DATA / "warnings" / "nws_cap12_hurricane_update_2020-08-26.xml").read_bytes()
FEED = (DATA / "warnings" / "nws_atom_index_2018-08-15.xml").read_bytes()[:9000]
FEED = FEED[: FEED.rindex(b"</entry>") + 8] + b"</feed>"

some = settings(max_examples=150, deadline=None)
splices = st.lists(
    st.tuples(st.floats(0, 1), st.integers(0, 40), st.binary(max_size=12)), min_size=1, max_size=4
)


def spoil(content, cuts):
    """Replace a few bytes here and there."""
    for where, width, patch in cuts:
        at = int(where * len(content))
        content = content[:at] + patch + content[at + width :]
    return content


def reads_or_refuses(read, content, *refusals):
    """The answer, or the sentence with which the file was refused."""
    try:
        return read(content)
    except refusals as refusal:
        return str(refusal)


@some
@given(st.sampled_from([RAIN, ROWS, b""]), splices)
def test_daily_rain_is_read_or_refused_by_name(whole, cuts):
    answer = reads_or_refuses(ghcn.read_ghcn_daily, spoil(whole, cuts), ghcn.RainFileUnreadable)

    assert answer if isinstance(answer, str) else answer.station


@some
@given(st.sampled_from([DEPTHS, b""]), splices)
def test_atlas_14_is_read_or_refused_by_name(whole, cuts):
    answer = reads_or_refuses(
        atlas14.read_atlas14,
        spoil(whole, cuts),
        atlas14.FrequencyFileUnreadable,
        atlas14.FrequencyTableDamaged,
    )

    assert answer if isinstance(answer, str) else answer.tables


@some
@given(st.sampled_from([WARNING, FEED, b""]), splices)
def test_warnings_are_read_or_refused_by_name(whole, cuts):
    answer = reads_or_refuses(
        warning_reader.read_warnings,
        spoil(whole, cuts),
        warning_reader.NotAWarning,
        warning_reader.WarningIncomplete,
        warning_xml.WarningFileTooLarge,
        warning_xml.WarningFileUnsafe,
        warning_xml.WarningFileUnreadable,
    )

    assert answer if isinstance(answer, str) else answer.messages is not None
