"""Writes the tables of written/ with Python's csv module, and what is in them."""
import csv, json, os

here = os.path.join(os.path.dirname(os.path.abspath(__file__)), "written")
rows = [
    ["serial", "value", "remark"],
    ["A-1", "0.125", "plain"],
    ["A-2", "-3", "a comma, a semicolon; a tab\there"],
    ["A-3", "12.50", 'a ring of 1", bright'],
    ["A-4", "", "two\nlines"],
    ["A-5", "1e-3", '"quoted"'],
    ["Größe 7", "+4.0", "µm, Ω, 軸受"],
    ["", "7", ""],
    ["x", "8", '""'],
]
os.makedirs(here, exist_ok=True)
for delimiter, sign in (("comma", ","), ("semicolon", ";"), ("tab", "\t")):
    for end, terminator in (("unix", "\n"), ("crlf", "\r\n")):
        for quoting in ("minimal", "all", "nonnumeric"):
            for code in ("utf-8", "utf-8-sig"):
                name = f"{delimiter}-{end}-{quoting}-{code}.csv"
                with open(os.path.join(here, name), "w", newline="", encoding=code) as f:
                    csv.writer(f, delimiter=sign, lineterminator=terminator,
                               quoting=getattr(csv, "QUOTE_" + quoting.upper())).writerows(rows)
with open(os.path.join(here, "want.json"), "w", encoding="utf-8") as f:
    json.dump(rows, f, ensure_ascii=False, indent=1)
