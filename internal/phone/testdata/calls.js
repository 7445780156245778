"use strict";
// What the checks of site/fs.js share: its calls as promises, and files by their text.
const assert = require("assert");

const callsOf = (files) =>
  Object.fromEntries(
    [
      "open",
      "close",
      "read",
      "write",
      "fsync",
      "ftruncate",
      "truncate",
      "mkdir",
      "readdir",
      "rmdir",
      "unlink",
      "rename",
      "stat",
      "fstat",
    ].map((name) => [name, (...args) => new Promise((ok, no) => files.fs[name](...args, (e, v) => (e ? no(e) : ok(v))))]),
  );
const { O_CREAT, O_EXCL, O_RDWR, O_TRUNC, O_APPEND } = { O_CREAT: 0o100, O_EXCL: 0o200, O_RDWR: 2, O_TRUNC: 0o1000, O_APPEND: 0o2000 };
const bytesOf = (text) => new TextEncoder().encode(text),
  textOf = (bytes) => new TextDecoder().decode(bytes);

async function put(fs, path, text, { sync = true, flags = O_TRUNC } = {}) {
  const fd = await fs.open(path, O_CREAT | O_RDWR | flags, 0o600);
  try {
    const bytes = bytesOf(text);
    for (let from = 0; from < bytes.length;) from += await fs.write(fd, bytes, from, bytes.length - from, null); // as Go does
    if (sync) await fs.fsync(fd);
  } finally {
    await fs.close(fd);
  }
}
async function readBy(fs, fd) {
  const { size } = await fs.fstat(fd),
    into = new Uint8Array(size);
  assert.equal(await fs.read(fd, into, 0, size, 0), size);
  return textOf(into);
}
async function get(fs, path) {
  const fd = await fs.open(path, 0, 0);
  try {
    return await readBy(fs, fd);
  } finally {
    await fs.close(fd);
  }
}
const refused = (code, work) =>
  assert.rejects(work, (e) => {
    assert.equal(e.code, code, e.stack);
    return true;
  });

module.exports = { callsOf, put, get, readBy, refused, bytesOf, textOf, O_CREAT, O_EXCL, O_RDWR, O_TRUNC, O_APPEND };
