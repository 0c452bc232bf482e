"""The commands as a stranger meets them: help, version, the trade table, the schema, and real files that are wrong."""

from __future__ import annotations

import json
import os
import re
import resource
import subprocess
import sys
import tomllib
from pathlib import Path

import click
import jsonschema
import pytest
from PIL import Image, ImageDraw

from plans.__main__ import VERSION, main
from plans.commands import COMMANDS, commands

ROOT = Path(__file__).parents[3]
CONTRACT = (
    "width height on cloth cloth-colour thread colours approach decisions shop page corners sheet-size out json quiet "
    "verbose limit"
)


def test_the_version_is_that_of_the_package(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    stated = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    assert capsys.readouterr().out == f"scantling {stated}\n"
    assert stated == VERSION


def test_without_a_word_it_helps(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 2
    printed = capsys.readouterr()
    assert "scantling plan crest.png --width 3in" in printed.out + printed.err


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_and_every_option_has_help(name: str) -> None:
    command = commands.get_command(click.Context(commands), name)
    assert command
    assert command.help
    assert all(option.help for option in command.params if isinstance(option, click.Option))


def test_the_plan_options_are_those_of_the_contract() -> None:
    command = commands.get_command(click.Context(commands), "plan")
    assert command
    found = {option.opts[0] for option in command.params if isinstance(option, click.Option)}
    assert found == {f"--{word}" for word in CONTRACT.split()}


def test_help_and_version_load_nothing_heavy() -> None:
    code = "import sys; from plans.__main__ import main; main(sys.argv[1:]); print(*sys.modules, file=sys.stderr)"
    for words, allowed in ((["--help"], {"click"}), (["--version"], set())):
        done = subprocess.run(
            [sys.executable, "-c", code, *words], cwd=ROOT, capture_output=True, text=True, check=True
        )
        roots = {name.split(".")[0] for name in done.stderr.split()}
        heavy = {"click", "numpy", "cv2", "shapely", "PIL", "jinja2", "reportlab", "scipy", "skimage", "sklearn"}
        assert roots & heavy == allowed


@pytest.mark.parametrize(("word", "seconds"), [("--help", 0.2), ("--version", 0.1)])
def test_help_and_version_come_at_once(word: str, seconds: float) -> None:
    """Processor time, the bare interpreter's left out, so that a busy machine does not decide."""
    bare = min(_seconds("pass") for _ in range(3))
    ours = min(_seconds(f"from plans.__main__ import main; main([{word!r}])") for _ in range(3))
    assert ours - bare < seconds


def _seconds(code: str) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def test_a_misspelt_command_is_not_taken_for_an_artwork(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["shema"]) == 2
    assert "'schema'" in capsys.readouterr().err


def test_the_schema_is_printed_whole(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    jsonschema.Draft202012Validator.check_schema(json.loads(capsys.readouterr().out))


def test_every_row_of_the_trade_is_listed_with_unit_and_source(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["trade"]) == 0
    lines = capsys.readouterr().out.splitlines()
    table = tomllib.loads((ROOT / "analyse/trade.toml").read_text(encoding="utf-8"))
    for group, rows in table.items():
        for name, row in rows.items():
            if group != "caution":
                key = f"{group} {name}: " if group in {"cloth", "place"} else f"{group}.{name}: "
                line = next(line for line in lines if line.startswith(key))
                assert line.endswith(f"[{row['source']}]")
                assert row.get("unit", "") in line


def test_words_pick_rows_and_a_shops_own_value_says_so(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text("[fill]\nspacing = 0.43\n[cloth.twill]\npull_mm = 0.2\n")
    assert main(["trade", "fill.spacing:", "--shop", str(shop)]) == 0
    assert capsys.readouterr().out == "fill.spacing: 0.43 mm across two lines, full cover [the shop's own]\n"
    assert main(["trade", "cloth", "twill:", "--shop", str(shop)]) == 0
    assert "the shop's own: pull_mm" in capsys.readouterr().out


def test_a_word_that_matches_nothing_names_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["trade", "fill.spacin:"]) == 2
    assert "fill.spacing" in capsys.readouterr().err


@pytest.fixture
def disc(tmp_path: Path) -> Path:
    """A navy disc beside a dot, 100 px and 8 px across, on white."""
    picture = Image.new("RGB", (300, 200), "white")
    draw = ImageDraw.Draw(picture)
    draw.ellipse((40, 40, 140, 140), fill=(27, 42, 74))
    draw.ellipse((226, 86, 234, 94), fill=(27, 42, 74))
    picture.save(tmp_path / "disc.png")
    return tmp_path / "disc.png"


def test_sizes_says_from_which_width_a_dot_holds(disc: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The dot is 8.9 px of a design 195 px wide, and a dot needs 1.0 mm: it holds from 22 mm."""
    assert main(["sizes", str(disc), "--width", "3in", "--cloth", "twill"]) == 0
    printed = capsys.readouterr().out
    assert "disc.png on woven twill, canvas, 40-weight thread" in printed
    assert any(line.startswith(">  76.2 mm") for line in printed.splitlines())
    found = re.search(r"All that a width can help holds from ([\d.]+) mm", printed)
    assert found
    assert float(found[1]) == pytest.approx(22.0, rel=0.08)
    assert "left chest" in printed


def test_sizes_gives_its_figures_as_json(disc: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sizes", str(disc), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    shares = [holding["share"] for holding in told["holdings"]]
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0)


def test_a_plan_of_a_real_picture_from_end_to_end(
    disc: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([str(disc), "--width", "40", "--cloth", "twill", "--out", str(tmp_path / "out")]) == 0
    printed = capsys.readouterr().out
    assert re.search(r"40\.0 × 20\.[4-8] mm on woven twill, canvas, 40-weight thread$", printed.splitlines()[0])
    document = json.loads((tmp_path / "out/plan.json").read_bytes())
    jsonschema.validate(document, json.loads((ROOT / "plans/plan.schema.json").read_bytes()))
    assert {part["kind"] for part in document["parts"]} >= {"fill"}
    rows = (tmp_path / "out/stitches.csv").read_text().splitlines()[1:]
    assert sum(row.split(",")[3] in {"sew", "travel"} for row in rows) == document["estimate"]["stitches"]
    assert f"{document['estimate']['stitches']:,} stitches" in printed


def test_a_picture_too_coarse_for_its_size_says_what_to_ask_for(
    disc: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for width, short in (("20", False), ("250", True)):
        assert main([str(disc), "--width", width, "--out", str(tmp_path / width)]) == 0
        assert ("ask for the original drawing" in capsys.readouterr().out) == short
        document = json.loads((tmp_path / width / "plan.json").read_bytes())
        assert bool(document["artwork"]["source"]) == short


HEAVY = ("scipy", "skimage", "sklearn", "matplotlib", "pandas", "distributed")
OF_OTHER_FORMATS = ("resvg_py", "pypdfium2")


def test_a_plan_of_a_png_loads_nothing_it_does_not_need(disc: Path, tmp_path: Path) -> None:
    code = (
        "import sys; from plans.__main__ import main; code = main(sys.argv[1:]);"
        "print(*sorted({name.partition('.')[0] for name in sys.modules})); sys.exit(code)"
    )
    words = [str(disc), "--width", "40", "--quiet", "--out", str(tmp_path / "out")]
    done = subprocess.run([sys.executable, "-c", code, *words], cwd=ROOT, capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert {"cv2", "shapely"} <= loaded
    assert loaded & {*HEAVY, *OF_OTHER_FORMATS} == set()


@pytest.mark.parametrize(
    ("name", "content", "code"),
    [
        ("zero.png", b"", 3),
        ("text.png", b"this is a letter, not a picture\n", 3),
        ("cut.png", b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00", 3),
    ],
)
def test_what_is_no_picture_ends_with_3_and_leaves_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, content: bytes, code: int
) -> None:
    (tmp_path / name).write_bytes(content)
    assert main(["plan", str(tmp_path / name), "--width", "80", "--out", str(tmp_path / "out")]) == code
    told = capsys.readouterr().err
    assert told.startswith("scantling: ")
    assert "\n  in  " in told
    assert "\n  do  " in told
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_a_folder_and_a_missing_file_end_with_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(tmp_path), "--width", "80", "--out", str(tmp_path / "out")]) == 3
    assert main(["plan", str(tmp_path / "none.png"), "--width", "80", "--out", str(tmp_path / "out")]) == 3
    assert "none.png" in capsys.readouterr().err


def test_sizes_draws_its_pictures_beside_its_table(
    disc: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "sizes.html"
    assert main(["sizes", str(disc), "--pictures", str(page)]) == 0
    assert "details hold" in capsys.readouterr().out
    assert "What holds at which width" in page.read_text(encoding="utf-8")
    assert list(tmp_path.glob(".sizes*")) == []


def test_pictures_that_cannot_be_written_are_told(disc: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sizes", str(disc), "--pictures", "/nowhere/sizes.html"]) == 5
    assert "--pictures" in capsys.readouterr().err


def test_a_word_that_is_in_no_row_gets_the_nearest_key_whole(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["trade", "fill.spacign"]) == 2
    told = capsys.readouterr().err
    assert "did you mean 'fill.spacing'?" in told
    assert "scantling trade alone lists every value" in told


def test_the_command_line_leaves_the_second_core_to_its_second_process() -> None:
    """OpenBLAS reads this when it is loaded, so it must stand before numpy is."""
    ask = "import os, sys; from plans.__main__ import main; main(['schema']); "
    ask += "sys.exit(os.environ['OPENBLAS_NUM_THREADS'] != '1')"
    given = {key: value for key, value in os.environ.items() if key != "OPENBLAS_NUM_THREADS"}
    done = subprocess.run([sys.executable, "-c", ask], capture_output=True, cwd=ROOT, env=given, check=False)
    assert done.returncode == 0
