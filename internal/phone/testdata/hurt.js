"use strict";
// Hurts the journals of site/names.js in every place, fills the disk and kills the program at every byte: node hurt.js STEP.
// What was answered is there: by its name, or under /found where its own record was hurt, and as it was written. Every STEP-th place
// is tried.
const assert = require("assert");
const { Folder } = require("./opfs.js");
const { callsOf, put, get, refused, bytesOf, textOf, O_CREAT, O_RDWR } = require("./calls.js");
require("../site/names.js");
require("../site/fs.js");

const step = Number(process.argv[2] ?? 1);
const JOURNALS = ["names-a", "names-b", "names-c"];

// texts are what all files have in them, by their paths.
async function texts(fs, at = "", into = new Map()) {
  for (const name of await fs.readdir(at || "/")) {
    const path = `${at}/${name}`;
    if (path === "/memory") continue;
    if ((await fs.stat(path)).isDirectory()) await texts(fs, path, into);
    else into.set(path, await get(fs, path));
  }
  return into;
}
// replace writes a file beside and renames it, as the program does.
async function replace(fs, path, text) {
  await put(fs, `${path}.half`, text);
  await fs.rename(`${path}.half`, path);
}

// STEPS are what a program does, one after the other, and what is expected of names then. Each text is there once.
const STEPS = [
  ["mkdir", "/log"],
  ["put", "/log/db", "first"],
  ["mkdir", "/log/drafts"],
  ["replace", "/log/drafts/1", "one"],
  ["replace", "/log/drafts/2", "two"],
  ["put", "/log/wal", "journal"],
  ["unlink", "/log/wal"],
  ["restart"],
  ["put", "/log/wal", "another journal"],
  ["replace", "/log/saved", "yesterday"],
  ["replace", "/log/saved", "today"],
  ["unlink", "/log/drafts/1"],
  ["rename", "/log/drafts", "/log/steps"],
  ["restart"],
  ["replace", "/log/steps/3", "three"],
  ["put", "/log/empty", ""],
  ["replace", "/log/saved", "just now"],
];
const within = (path, folder) => path.startsWith(folder + "/");
// done is what is expected after a step.
function done(expected, [what, path, more]) {
  const after = new Map(expected);
  if (what === "put" || what === "replace") after.set(path, more);
  else if (what === "unlink") after.delete(path);
  else if (what === "rename")
    for (const [old, text] of expected)
      if (within(old, path)) {
        after.delete(old);
        after.set(more + old.slice(path.length), text);
      }
  return after;
}
async function doStep(fs, [what, path, more]) {
  if (what === "put") await put(fs, path, more);
  else if (what === "replace") await replace(fs, path, more);
  else if (what === "mkdir") await fs.mkdir(path, 0o700);
  else await fs[what](path, more);
}
// lived is a disk on which all steps were done, with what is expected of it.
async function lived(steps = STEPS) {
  const disk = new Folder();
  let files = await huewrightFiles.open(disk),
    fs = callsOf(files),
    expected = new Map();
  for (const s of steps) {
    if (s[0] === "restart") {
      disk.lose();
      files = await huewrightFiles.open(disk);
      assert.equal(files.hurt, false);
      fs = callsOf(files);
      continue;
    }
    await doStep(fs, s);
    expected = done(expected, s);
  }
  if (steps !== STEPS) {
    disk.lose();
    return { disk, expected };
  }
  // A file that was removed while it was open is no loss.
  const fd = await fs.open("/log/gone", O_CREAT | O_RDWR, 0);
  await fs.write(fd, bytesOf("gone"), 0, 4, 0);
  await fs.fsync(fd);
  await fs.unlink("/log/gone");
  disk.lose();
  return { disk, expected };
}

// afterwards opens a disk, goes on with it and opens it again: each text that is expected is there all the time, under its own
// name unless that is excused.
async function afterwards(disk, expected, excused, what) {
  let hurt;
  for (let start = 0; start < 3; start++) {
    const files = await huewrightFiles.open(disk),
      fs = callsOf(files);
    if (start === 0) ({ hurt } = files);
    else assert.equal(files.hurt, false, `${what}: it is well again`);
    await put(fs, `/new-${start}`, `a new file ${start}`);
    await files.sweep();
    // The program takes away what seems half written: that may have been renamed by a record that is lost.
    if (files.hurt) for (const path of (await texts(fs)).keys()) if (/\.half$/.test(path)) await fs.unlink(path);
    const there = await texts(fs),
      all = new Set(there.values());
    for (const [path, text] of expected)
      if (!excused(path)) assert.equal(there.get(path), text, `${what}: ${path}, ${JSON.stringify([...there])}`);
      else if (text !== "") assert.ok(all.has(text), `${what}: ${path} is lost, ${JSON.stringify([...there])}`);
    for (const [path, text] of there)
      if (expected.get(path) !== text && !/^\/(found|new)/.test(path) && !excused(path))
        assert.fail(`${what}: ${path} has ${text}`);
    await files.close();
  }
  return hurt;
}
// spoil gives a copy of a disk whose journals are changed.
function spoil(disk, change) {
  const other = disk.copy();
  for (const name of JOURNALS) {
    const f = other.entries.get(name);
    f.bytes = change(name, f.bytes.slice(0, f.size));
    f.size = f.bytes.length;
    f.flushed = f.bytes.slice();
  }
  return other;
}
// only changes one journal.
const only = (journal, change) => (name, bytes) => (name === journal ? change(bytes) : bytes);

async function spoiltBytes({ disk, expected }) {
  for (const journal of JOURNALS)
    for (let at = 0; at < disk.entries.get(journal).size; at++)
      for (const by of [1 << at % 8, 0xff, 10]) {
        if (at % step > 0 && (by > 10 || disk.entries.get(journal).bytes[at] !== 10)) continue; // each end of a line is tried
        const other = spoil(
          disk,
          only(journal, (bytes) => {
            bytes[at] = by === 10 ? 10 : bytes[at] ^ by;
            return bytes;
          }),
        );
        const what = `byte ${at} of ${journal}, ${by}`;
        assert.equal(await afterwards(other, expected, () => false, what), false, what);
      }
}
// spoiltParts spoils what is longer than a record, in all journals alike or in one.
async function spoiltParts({ disk, expected }) {
  let hurts = 0;
  for (const [journal, apart] of [...JOURNALS.map((j) => [j, 1]), ["", 7]])
    for (const length of [60, 200, 700])
      for (let at = -length + 1; at < 2000; at += apart * step) {
        const touched = [];
        const other = spoil(disk, (name, bytes) => {
          if (journal && name !== journal) return bytes;
          // A record is spoilt where a line of it is.
          const [from, to] = [bytes.lastIndexOf(10, Math.max(0, at)), bytes.indexOf(10, at + length)];
          touched.push(textOf(bytes.subarray(Math.max(0, from), to < 0 ? bytes.length : to)));
          return bytes.fill(0, Math.max(0, at), Math.max(0, at + length));
        });
        const excused = (path) => touched.some((text) => text.includes(`"${path}`) || (journal === "" && text));
        const what = `${length} bytes at ${at} of ${journal || "all"}`;
        if (await afterwards(other, expected, excused, what)) hurts++;
      }
  assert.ok(hurts > 20, "some of that is told");
}
async function cut(life) {
  await cutOne(life);
  // A file that has no name tells by itself that its record is lost.
  const shorter = await lived([...STEPS, ["restart"], ["put", "/log/last", "the last"]]);
  const newest = JOURNALS.findLast((j) => textOf(shorter.disk.entries.get(j).bytes).includes("/log/last"));
  const lines = textOf(shorter.disk.entries.get(newest).bytes).indexOf('"/log/last"') - 30;
  const other = spoil(
    shorter.disk,
    only(newest, (bytes) => bytes.slice(0, lines)),
  );
  assert.equal(await afterwards(other, shorter.expected, (path) => path === "/log/last", "the last record cut off"), true);
}
async function cutOne({ disk, expected }) {
  for (const journal of JOURNALS)
    for (let at = 0; at < disk.entries.get(journal).size; at += step)
      await afterwards(
        spoil(
          disk,
          only(journal, (bytes) => bytes.slice(0, at)),
        ),
        expected,
        () => true,
        `${journal} cut at ${at}`,
      );
}
// without spoils all lines that have a text.
function without(bytes, text) {
  for (let at = 0; (at = textOf(bytes).indexOf(text, at)) >= 0;) bytes.fill(0, at, at + text.length);
  return bytes;
}
// lostRecords spoils single records that matter.
async function lostRecords({ disk, expected }) {
  const newest = JOURNALS.findLast((j) => textOf(disk.entries.get(j).bytes).includes("/log/steps/3"));
  const blank = (text) => only(newest, (bytes) => without(bytes, text));
  // A renamed file is known by its number.
  const made = spoil(disk, blank('"file","/log/steps/3.half"'));
  assert.equal(await afterwards(made, expected, () => false, "a file's record is lost"), true);
  // A hurt journal does not go on where there is no room for the next.
  const full = spoil(disk, blank('"file","/log/steps/3.half"'));
  full.disk.room = full.disk.used() - 2000;
  await refused("ENOSPC", () => huewrightFiles.open(full));
  full.disk.room = Infinity;
  assert.equal(await afterwards(full, expected, () => false, "a file's record is lost, and the disk is full"), true);
  // The newest journal has lost a name of its beginning, and the one before is gone, in which that was new.
  const rested = await lived([...STEPS, ["restart"]]);
  const generationOf = (journal) => Number(/\[(\d+),/.exec(textOf(rested.disk.entries.get(journal).bytes))[1]);
  const [latest, before] = [...JOURNALS].sort((a, b) => generationOf(b) - generationOf(a));
  const gone = spoil(rested.disk, (name, bytes) =>
    name === before ? bytes.fill(0) : name === latest ? without(bytes, '"file","/log/steps/3"') : bytes,
  );
  assert.equal(await afterwards(gone, rested.expected, (path) => path === "/log/steps/3", "the journal before is gone"), true);
}
// allSpoilt leaves nothing of any journal.
async function allSpoilt({ disk, expected }) {
  for (const change of [(b) => b.fill(0), () => new Uint8Array(0), (b) => b.map((x, i) => (x * 31 + i * i) & 255)]) {
    const other = spoil(disk, (_, bytes) => change(bytes));
    assert.equal(await afterwards(other, expected, () => true, "all journals spoilt"), true);
  }
  // Of each journal the latest number is left, and no file has a later one.
  const rested = await lived([...STEPS, ["restart"]]);
  const left = spoil(rested.disk, (_, b) => b.slice(0, b.indexOf(10, b.indexOf(10, 1) + 2) + 1));
  assert.equal(await afterwards(left, rested.expected, () => true, "numbers alone"), true);
  // Where there is no room for a journal either, it does not begin, and nothing is removed.
  const full = spoil(disk, (_, bytes) => bytes.fill(0));
  full.disk.room = full.disk.used() - 2000;
  const before = (await full.getDirectoryHandle("files")).entries.size;
  await refused("ENOSPC", () => huewrightFiles.open(full));
  assert.equal((await full.getDirectoryHandle("files")).entries.size, before);
  full.disk.room = Infinity;
  assert.equal(await afterwards(full, expected, () => true, "all journals spoilt, and full"), true);
}

// full fills the disk after every number of bytes: what was answered is there, and it goes on when there is room.
async function full() {
  for (const inPart of [false, true])
    for (let room = 0, refusals = 1; refusals > 0; room += step) {
      const disk = new Folder();
      disk.disk.inPart = inPart;
      const begun = await huewrightFiles.open(disk);
      await doStep(callsOf(begun), STEPS[0]);
      await begun.close();
      disk.disk.room = disk.disk.used() + room;
      let files = await huewrightFiles.open(disk),
        expected = new Map();
      refusals = 0;
      for (const s of STEPS.slice(1)) {
        const fs = callsOf(files);
        if (s[0] === "restart") {
          disk.lose();
          files = await huewrightFiles.open(disk);
          assert.equal(files.hurt, false, `room for ${room}`);
          await files.sweep();
          continue;
        }
        try {
          await doStep(fs, s);
          expected = done(expected, s);
        } catch (e) {
          assert.ok(["ENOSPC", "ENOENT"].includes(e.code), e.stack); // what was not made is not there later
          if (e.code === "ENOSPC") refusals++;
          if (s[0] === "put") {
            expected.delete(s[1]);
            await fs.unlink(s[1]).catch(() => {});
          }
        }
        const there = await texts(fs);
        for (const [path, text] of expected) assert.equal(there.get(path), text, `room for ${room}: ${path}`);
      }
      disk[room % 2 ? "lose" : "end"]();
      disk.disk.room = Infinity;
      assert.equal(await afterwards(disk, expected, (path) => !expected.has(path), `room for ${room}`), false);
    }
}

// tornThenFull ends the program while it begins a journal, and then has no room for one: the one before goes on.
async function tornThenFull({ disk, expected }) {
  let renamed = 0;
  for (let left = 0, ended = true; ended; left += step) {
    const other = disk.copy();
    other.disk.left = left;
    ended = await huewrightFiles.open(other).then(
      () => false,
      () => true,
    );
    other.end();
    other.disk.room = other.disk.used() + 300; // for a record
    const rename = ["rename", "/log/steps", "/log/drafts"],
      files = await huewrightFiles.open(other);
    let after = expected;
    try {
      await doStep(callsOf(files), rename);
      after = done(expected, rename);
      renamed++;
    } catch (e) {
      assert.equal(e.code, "ENOSPC", e.stack); // there was room for the journal after all
    }
    await files.close();
    other.disk.room = Infinity;
    assert.equal(await afterwards(other, after, () => false, `torn after ${left}, then full`), false);
  }
  assert.ok(renamed > 0);
}

// deaf cannot flush: a start is refused, and leaves nothing behind that would be read.
async function deaf({ disk, expected }) {
  const other = disk.copy();
  other.disk.deaf = true;
  await refused("ENOSPC", () => huewrightFiles.open(other));
  other.disk.deaf = false;
  other.end();
  assert.equal(await afterwards(other, expected, () => false, "deaf"), false);
}

// killed ends the program at every byte that it writes. What was not flushed stays or is lost.
async function killed() {
  for (const how of ["lose", "end"])
    for (let left = 0, ended = true; ended; left += step) {
      const disk = new Folder();
      let expected = new Map(),
        under = null; // the step that was not answered
      disk.disk.left = left;
      ended = false;
      try {
        let files = await huewrightFiles.open(disk);
        for (const s of STEPS) {
          if (s[0] === "restart") {
            await files.close();
            files = await huewrightFiles.open(disk);
            assert.equal(files.hurt, false);
            continue;
          }
          under = s;
          await doStep(callsOf(files), s);
          expected = done(expected, s);
          under = null;
        }
      } catch (e) {
        if (!/killed/.test(e.message)) throw e;
        ended = true;
      }
      disk[how]();
      const after = under ? done(expected, under) : expected;
      const excused = (path) => after.get(path) !== expected.get(path) || /\.half$/.test(path);
      // Of a step that was not answered, what was before may be gone.
      const kept = new Map([...expected].filter(([path]) => !excused(path)));
      assert.equal(await afterwards(disk, kept, excused, `killed after ${left}`), false, `killed after ${left}`);
    }
}

(async () => {
  const life = await lived();
  const afterAll = life.disk.copy();
  assert.equal(await afterwards(afterAll, life.expected, () => false, "as it was"), false);
  for (const check of [spoiltBytes, spoiltParts, lostRecords, cut, allSpoilt, full, tornThenFull, deaf, killed]) {
    const began = Date.now();
    await check(life);
    console.log(check.name, Date.now() - began, "ms");
  }
  console.log("nothing is lost");
})().catch((e) => {
  console.error(e);
  process.exit(1);
});
