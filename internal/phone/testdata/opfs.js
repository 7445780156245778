"use strict";
// The browser's file system (OPFS) in memory, for tests: what of it site/fs.js asks for. There is no more room than room says: what
// does not fit is refused, or written in part. The program can be killed at a byte that it writes or cuts off. What was written and not
// flushed is lost by lose(), and stays by end().
class Taken extends Error {
  constructor() {
    super("taken");
    this.name = "NoModificationAllowedError";
  }
}
class Missing extends Error {
  constructor(name) {
    super(name);
    this.name = "NotFoundError";
  }
}
class NoRoom extends Error {
  constructor() {
    super("no room");
    this.name = "QuotaExceededError";
  }
}

class Killed extends Error {}

class Disk {
  room = Infinity;
  inPart = false; // what does not fit is written in part
  left = Infinity; // bytes until the program is killed
  deaf = false; // nothing can be flushed
  files = new Set();
  used() {
    let n = 0;
    for (const f of this.files) n += f.size;
    return n;
  }
  live() {
    if (this.left < 0) throw new Killed("killed");
  }
  // spend takes so many bytes of what is left, and gives how many there were.
  spend(n) {
    this.live();
    const had = Math.min(n, this.left);
    this.left = had < n ? -1 : this.left - n;
    return had;
  }
}

class Handle {
  constructor(file) {
    if (file.handle) throw new Taken();
    this.file = file;
    file.handle = this;
  }
  live() {
    if (this.file.handle !== this) {
      const e = new Error("closed");
      e.name = "InvalidStateError";
      throw e;
    }
    return this.file;
  }
  getSize() {
    return this.live().size;
  }
  read(into, { at = 0 } = {}) {
    const f = this.live(),
      n = Math.max(0, Math.min(into.length, f.size - at));
    into.set(f.bytes.subarray(at, at + n));
    return n;
  }
  write(from, { at = 0 } = {}) {
    const f = this.live(),
      whole = from.length;
    if (f.disk.inPart) from = from.subarray(0, Math.max(0, f.size + f.disk.room - f.disk.used() - at));
    const some = from.subarray(0, f.disk.spend(from.length)),
      end = at + some.length;
    f.room(end);
    f.bytes.set(some, at);
    f.size = Math.max(f.size, end);
    if (some.length < from.length) throw new Killed("killed");
    if (some.length === 0 && whole > 0) throw new NoRoom();
    return some.length;
  }
  truncate(to) {
    const f = this.live();
    if (f.disk.spend(1) < 1) throw new Killed("killed");
    f.room(to);
    if (to < f.size) f.bytes.fill(0, to, f.size);
    f.size = to;
  }
  flush() {
    const f = this.live();
    if (f.disk.deaf) throw new NoRoom();
    if (f.disk.spend(1) < 1) throw new Killed("killed");
    f.flushed = f.bytes.slice(0, f.size);
  }
  close() {
    if (this.file.handle === this) this.file.handle = null;
  }
}

class File {
  kind = "file";
  bytes = new Uint8Array(0);
  size = 0;
  flushed = new Uint8Array(0);
  handle = null;
  constructor(disk) {
    this.disk = disk;
    disk.files.add(this);
  }
  room(end) {
    if (end > this.size && this.disk.used() - this.size + end > this.disk.room) throw new NoRoom();
    if (end > this.bytes.length) {
      const larger = new Uint8Array(Math.max(end, 2 * this.bytes.length));
      larger.set(this.bytes.subarray(0, this.size));
      this.bytes = larger;
    }
  }
  async createSyncAccessHandle() {
    return new Handle(this);
  }
  async getFile() {
    return { size: this.size, lastModified: 0 };
  }
  end() {
    this.handle = null;
  }
  copy(disk) {
    const to = new File(disk);
    to.bytes = this.bytes.slice(0, this.size);
    to.size = this.size;
    to.flushed = this.flushed.slice();
    return to;
  }
  lose() {
    this.handle = null;
    this.bytes = this.flushed.slice();
    this.size = this.bytes.length;
  }
}

class Folder {
  kind = "directory";
  entries = new Map();
  constructor(disk = new Disk()) {
    this.disk = disk;
  }
  async getDirectoryHandle(name, { create = false } = {}) {
    return this.entry(name, create, Folder);
  }
  async getFileHandle(name, { create = false } = {}) {
    return this.entry(name, create, File);
  }
  entry(name, create, Kind) {
    this.disk.live();
    let e = this.entries.get(name);
    if (!e) {
      if (!create) throw new Missing(name);
      this.entries.set(name, (e = new Kind(this.disk)));
    }
    return e;
  }
  async removeEntry(name) {
    this.disk.live();
    const e = this.entries.get(name);
    if (!e) throw new Missing(name);
    if (e.handle) throw new Taken();
    this.disk.files.delete(e);
    this.entries.delete(name);
  }
  async *keys() {
    yield* [...this.entries.keys()];
  }
  lose() {
    this.disk.left = Infinity;
    for (const e of this.entries.values()) e.lose();
  }
  end() {
    this.disk.left = Infinity;
    for (const e of this.entries.values()) e.end();
  }
  copy(disk = new Disk()) {
    const to = new Folder(disk);
    for (const [name, e] of this.entries) to.entries.set(name, e.copy(disk));
    return to;
  }
}

module.exports = { Folder };
