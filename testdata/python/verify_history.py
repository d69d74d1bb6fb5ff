"""Verifies the chain of a history by docs/history.md alone.

    python3 verify_history.py HISTORY [SEQ DIGEST]

prints the last number, and the digest that a head of it must have. With a
number and the digest of a head it compares them. It ends with 1 where
something differs.
"""
import hashlib
import sqlite3
import struct
import sys

TABLES = {
    "readings": "gauge number time value shown unit status raw source source_seq entered_by",
    "rejects": "gauge time reason detail raw source source_seq",
    "states": "gauge time state reason",
    "files": "hash kind name content time",
    "job_facts": "job time kind by data",
    "gauge_facts": "gauge time kind by data",
    "releases": "hash kind name by reason time",
    "access_facts": "time kind by subject data",
}


def sha256(data):
    return hashlib.sha256(data).digest()


def number(n):
    return b"i" + struct.pack(">q", n)


def text(t):
    return b"t" + struct.pack(">I", len(t)) + t


def octets(b):
    return b"b" + struct.pack(">I", len(b)) + b


FORMS = {b"integer": number, b"text": text, b"blob": octets}


def leaf(table, seq, fields):
    """The digest of a fact; fields are (name, type in SQLite, value)."""
    form = text(table.encode()) + number(seq)
    for name, kind, value in fields:
        if kind != b"null":
            form += text(name.encode()) + FORMS[kind](value)
    return sha256(b"\x00" + form)


def root(leaves):
    """The Merkle tree hash of RFC 9162, 2.1.1."""
    if len(leaves) == 1:
        return leaves[0]
    k = 1
    while k * 2 < len(leaves):
        k *= 2
    return sha256(b"\x01" + root(leaves[:k]) + root(leaves[k:]))


def facts(db, first, last):
    """The leaves of the facts from first to last, by their numbers."""
    found = {}
    for table, columns in TABLES.items():
        names = columns.split()
        values = ", ".join(f"typeof({n}), CASE typeof({n}) WHEN 'integer' THEN {n} ELSE CAST({n} AS BLOB) END" for n in names)
        for row in db.execute(f"SELECT seq, {values} FROM {table} WHERE seq BETWEEN ? AND ?", (first, last)):
            if row[0] in found:
                sys.exit(f"fact {row[0]} is there twice")
            found[row[0]] = leaf(table, row[0], zip(names, row[1::2], row[2::2]))
    return found


def main(path, seq=None, digest=None):
    db = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
    db.text_factory = bytes  # texts as they are stored
    domain = text(b"gauged chain 1")
    chained = sha256(domain + text(db.execute("SELECT id FROM history").fetchone()[0]))
    after, seen = 0, {}
    for last, upgrade, stored, marks in db.execute("SELECT last, upgrade, digest, marks FROM chain ORDER BY last"):
        first = last - len(marks) // 4 + 1
        if first != after + 1:
            sys.exit(f"facts {after + 1} to {first - 1} are in no link")
        leaves = facts(db, first, last)
        for i in range(first, last + 1):
            if i not in leaves:
                sys.exit(f"fact {i} is missing")
            if leaves[i][:4] != marks[4 * (i - first):][:4]:
                sys.exit(f"fact {i} differs")
        whole = root([leaves[i] for i in range(first, last + 1)])
        chained = sha256(domain + octets(chained) + number(first) + number(last) + number(upgrade) + octets(whole))
        if chained != stored:
            sys.exit(f"the link of the facts {first} to {last} differs")
        after, seen[last] = last, chained
    for table in TABLES:
        beyond = db.execute(f"SELECT min(seq) FROM {table} WHERE seq < 1 OR seq > ?", (after,)).fetchone()[0]
        if beyond is not None:
            sys.exit(f"fact {beyond} is in no link")
    if seq is not None and seen.get(int(seq)) != bytes.fromhex(digest):
        sys.exit(f"the head of {seq} differs")
    print(after, chained.hex())


main(*sys.argv[1:])
