"use strict";
// Holds site/fs.js to what a disk does: node check.js SEED RUNS. It ends with 1 at the first difference.
const assert = require("assert");
const { Folder } = require("./opfs.js");
const { callsOf, put, get, readBy, refused, bytesOf, O_CREAT, O_EXCL, O_RDWR, O_APPEND } = require("./calls.js");
require("../site/names.js");
require("../site/fs.js");

let state = Number(process.argv[2]) >>> 0;
// chance is a whole number below n. Source: Marsaglia (2003), Xorshift RNGs, J. Stat. Softw. 8(14): 13, 17, 5.
const chance = (n) => {
  state ^= state << 13;
  state >>>= 0;
  state ^= state >>> 17;
  state ^= state << 5;
  state >>>= 0;
  return state % n;
};
async function laws() {
  const disk = new Folder(),
    files = await huewrightFiles.open(disk),
    fs = callsOf(files);
  await fs.mkdir("/a", 0o700);
  await refused("EEXIST", () => fs.mkdir("/a", 0o700));
  await refused("ENOENT", () => fs.open("/b/c", O_CREAT | O_RDWR, 0));
  await put(fs, "/a/one", "first");
  await refused("EEXIST", () => fs.open("/a/one", O_CREAT | O_EXCL | O_RDWR, 0));
  await refused("ENOTDIR", () => fs.stat("/a/one/two"));
  await refused("EISDIR", () => fs.open("/a", O_RDWR, 0));
  await refused("ENOTEMPTY", () => fs.rmdir("/a"));
  await refused("EINVAL", () => fs.rename("/a", "/a/b"));
  await put(fs, "/a/one", " second", { flags: O_APPEND });
  assert.equal(await get(fs, "/a/one"), "first second");

  // Who has a file open keeps it, whatever becomes of its name.
  const fd = await fs.open("/a/one", O_RDWR, 0);
  await put(fs, "/a/two", "other");
  await fs.rename("/a/two", "/a/one");
  assert.equal(await readBy(fs, fd), "first second");
  assert.equal(await get(fs, "/a/one"), "other");
  await fs.write(fd, bytesOf("FIRST"), 0, 5, 0);
  assert.equal(await readBy(fs, fd), "FIRST second");
  const again = await fs.open("/a/one", O_RDWR, 0);
  await fs.unlink("/a/one");
  await refused("ENOENT", () => fs.stat("/a/one"));
  assert.equal(await readBy(fs, again), "other");
  await put(fs, "/a/one", "third");
  assert.equal(await readBy(fs, again), "other");
  await fs.close(again);
  await fs.close(fd);
  await refused("EBADF", () => fs.close(fd));
  assert.equal(await get(fs, "/a/one"), "third");
  const left = [];
  for await (const name of (await disk.getDirectoryHandle("files")).keys()) left.push(name);
  assert.equal(left.length, 1, "what no name leads to is removed when it is closed");

  await fs.rename("/a", "/moved");
  assert.equal(await get(fs, "/moved/one"), "third");
  await put(fs, "/memory/x", "passing");
  await refused("EXDEV", () => fs.rename("/memory/x", "/x"));
  await put(fs, "/moved/log.db.lock", "");
  await fs.truncate("/moved/one", 2);
  assert.equal(await get(fs, "/moved/one"), "th");
  await assert.rejects(() => huewrightFiles.open(disk), { name: "NoModificationAllowedError" });
  await files.close();

  const later = callsOf(await huewrightFiles.open(disk));
  assert.deepEqual(await later.readdir("/moved"), ["one"], "locks end with the program");
  assert.deepEqual(await later.readdir("/memory"), []);
  assert.equal(await get(later, "/moved/one"), "th");
}

// full is a disk that has no more room: what was is whole, and goes on when there is some again.
async function full() {
  const disk = new Folder(),
    files = await huewrightFiles.open(disk),
    fs = callsOf(files);
  await put(fs, "/kept", "kept");
  disk.disk.room = disk.disk.used() + 3;
  await refused("ENOSPC", () => put(fs, "/kept", "much more than there is room for", { flags: O_APPEND }));
  await refused("ENOSPC", () => fs.mkdir("/folder", 0));
  await refused("ENOENT", () => fs.stat("/folder"));
  await refused("ENOSPC", () => fs.open("/file", O_CREAT | O_RDWR, 0));
  await refused("ENOENT", () => fs.stat("/file"));
  await refused("ENOSPC", () => fs.rename("/kept", "/elsewhere"));
  assert.equal(await get(fs, "/kept"), "kept");
  await files.close();
  const cramped = await huewrightFiles.open(disk),
    again = callsOf(cramped); // there is no room for a new journal
  assert.equal(await get(again, "/kept"), "kept");
  disk.disk.room = Infinity;
  await again.rename("/kept", "/elsewhere");
  assert.equal(await get(again, "/elsewhere"), "kept");
  await cramped.close();
  assert.equal(await get(callsOf(await huewrightFiles.open(disk)), "/elsewhere"), "kept");
}

// lost ends the program anywhere, and loses what was not flushed: what was answered is there.
async function lost() {
  const disk = new Folder();
  let expected = new Map(); // path to what was flushed last
  for (let start = 0; start < 4; start++) {
    const fs = callsOf(await huewrightFiles.open(disk));
    const names = [...expected.keys()];
    for (const name of names) assert.equal(await get(fs, name), expected.get(name), name);
    assert.deepEqual((await fs.readdir("/")).filter((n) => n !== "memory").sort(), names.map((n) => n.slice(1)).sort());
    for (let n = chance(30); n >= 0; n--) {
      const all = [...expected.keys()],
        one = all[chance(all.length || 1)],
        name = "/" + "abcdefg"[chance(7)];
      switch (chance(4)) {
        case 0: {
          const text = `text ${chance(1000)}`.repeat(1 + chance(50));
          await put(fs, name, text);
          expected.set(name, text);
          break;
        }
        case 1: {
          if (one) {
            await put(fs, one, "not flushed", { sync: false, flags: O_APPEND });
          }
          break;
        }
        case 2:
          if (one) {
            await fs.unlink(one);
            expected.delete(one);
          }
          break;
        case 3:
          if (one && one !== name) {
            await fs.rename(one, name);
            expected.set(name, expected.get(one));
            expected.delete(one);
          }
          break;
      }
    }
    disk.lose();
  }
}

(async () => {
  await laws();
  await full();
  for (let run = Number(process.argv[3]); run > 0; run--) await lost();
  console.log("as a disk does");
})().catch((e) => {
  console.error(e);
  process.exit(1);
});
