"use strict";
// The file system that Go sees, over the browser's own (OPFS), as far as the log needs one.
//
// What is in a file lies in a file of OPFS that is called by a number. Which number has which name stands in a journal (names.js):
// so a rename or a removal is one record, which is there whole or not at all, and a file that is open stays what it is whatever
// becomes of its name. Each record is flushed before what it says is answered; fsync flushes a file.
//
// Where the journal has lost records, or the files tell that it has, nothing is removed: what no name leads to any more gets the name
// /found/NUMBER, and so does a new file that may have been renamed. A new file has a number above all that are there.
//
// Locks and what lies in /memory are kept in memory: as what is temporary on a disk, they are gone with the program that made them.
globalThis.huewrightFiles = (() => {
  const C = {
    O_RDONLY: 0,
    O_WRONLY: 1,
    O_RDWR: 2,
    O_CREAT: 0o100,
    O_EXCL: 0o200,
    O_TRUNC: 0o1000,
    O_APPEND: 0o2000,
    O_DIRECTORY: 0o200000,
  };
  const FOLDER = 0o040700,
    FILE = 0o100600; // all is its owner's alone
  const fault = (code, why) => Object.assign(new Error(why ? `${code}: ${why}` : code), { code });
  const namesOf = (path) => {
    const names = [];
    for (const name of path.split("/"))
      if (name === "..") names.pop();
      else if (name !== "" && name !== ".") names.push(name);
    return names;
  };
  const passing = (path) => /^\/memory(\/|$)/.test(path) || /(\.lock|-shm)$/.test(path);

  const decoder = new TextDecoder();

  // told turns what the browser says into what a disk would say.
  const told = (e) =>
    typeof e?.code === "string" ? e : e?.name === "QuotaExceededError" ? fault("ENOSPC", String(e)) : fault("EIO", String(e));

  // open opens the file system that lies in a folder of OPFS. Nobody else may have it open: that is NoModificationAllowedError.
  async function open(top) {
    const files = await top.getDirectoryHandle("files", { create: true });
    let inode = 1;
    const folder = (id = 0) => ({ id, inode: inode++, folder: new Map(), time: Date.now() });
    const file = (id) => ({
      id,
      inode: inode++,
      folder: null,
      time: Date.now(),
      names: 1,
      open: 0,
      handle: null,
      size: undefined,
      bytes: id ? null : new Uint8Array(0),
      length: 0,
    });
    const root = folder();

    const find = (path) => {
      let at = root;
      for (const name of namesOf(path)) {
        if (!at.folder) throw fault("ENOTDIR");
        at = at.folder.get(name);
        if (!at) throw fault("ENOENT");
      }
      return at;
    };
    const place = (path) => {
      const names = namesOf(path),
        name = names.pop();
      if (name === undefined) throw fault("EBUSY");
      const within = find("/" + names.join("/"));
      if (!within.folder) throw fault("ENOTDIR");
      return [within.folder, name, "/" + [...names, name].join("/")];
    };

    const journal = await huewrightNames.open(top);
    const note = (...said) => {
      try {
        journal.note(...said);
      } catch (e) {
        throw told(e);
      }
    };
    let known;
    try {
      known = await huewrightNames.recall(journal, files, { root, folder, file, namesOf, passing });
    } catch (e) {
      journal.close();
      throw told(e);
    }
    let { latest } = known;

    // What is waited for is done one after the other.
    let last = Promise.resolve();
    const inTurn = (work) => {
      const done = last.then(work);
      last = done.catch(() => {});
      return done;
    };
    const at = async (node, create = false) => files.getFileHandle(String(node.id), { create });
    async function hold(node) {
      if (node.id && !node.handle) node.handle = await (await at(node)).createSyncAccessHandle();
      node.open++;
    }
    async function release(node) {
      if (--node.open > 0) return;
      if (node.handle) {
        node.size = node.handle.getSize();
        node.handle.close();
        node.handle = null;
      }
      if (node.names === 0) await drop(node);
    }
    async function drop(node) {
      if (node.id) await files.removeEntry(String(node.id)).catch(() => {});
    } // else the next start sweeps it away
    // unname takes a name from a file, and with the last one the file, once nobody has it open.
    async function unname(node) {
      node.names--;
      if (node.names === 0 && node.open === 0) await drop(node);
    }
    async function sizeOf(node) {
      if (node.folder) return 0;
      if (!node.id) return node.length;
      if (node.handle) return node.handle.getSize();
      if (node.size === undefined) {
        const f = await (await at(node)).getFile();
        node.size = f.size;
        node.time = f.lastModified;
      }
      return node.size;
    }
    function sizeNow(node) {
      return node.id ? node.handle.getSize() : node.length;
    }
    function readAt(node, into, from) {
      if (node.id) return node.handle.read(into, { at: from });
      const part = node.bytes.subarray(from, Math.min(node.length, from + into.length));
      into.set(part);
      return part.length;
    }
    function writeAt(node, bytes, from) {
      node.time = Date.now();
      if (node.id) {
        const n = node.handle.write(bytes, { at: from });
        if (n === 0 && bytes.length > 0) throw fault("ENOSPC");
        return n;
      }
      const end = from + bytes.length;
      if (end > node.bytes.length) {
        const larger = new Uint8Array(Math.max(end, 2 * node.bytes.length));
        larger.set(node.bytes);
        node.bytes = larger;
      }
      node.bytes.set(bytes, from);
      node.length = Math.max(node.length, end);
      return bytes.length;
    }
    function cut(node, to) {
      node.time = Date.now();
      if (node.id) {
        node.handle.truncate(to);
        return;
      }
      if (to > node.length) writeAt(node, new Uint8Array(to - node.length), node.length);
      else {
        node.bytes.fill(0, to);
        node.length = to;
      }
    }
    const stat = (node, size) => ({
      dev: 1,
      ino: node.inode,
      mode: node.folder ? FOLDER : FILE,
      nlink: node.names ?? 1,
      uid: 0,
      gid: 0,
      rdev: 0,
      size,
      blksize: 4096,
      blocks: Math.ceil(size / 512),
      atimeMs: node.time,
      mtimeMs: node.time,
      ctimeMs: node.time,
      isDirectory: () => !!node.folder,
    });

    const opened = new Map();
    let descriptor = 10;
    const byNumber = (fd) => {
      const f = opened.get(fd);
      if (!f) throw fault("EBADF");
      return f;
    };

    async function openFile(path, flags) {
      let node = null;
      try {
        node = find(path);
      } catch (e) {
        if (e.code !== "ENOENT" || !(flags & C.O_CREAT)) throw e;
      }
      if (node && flags & C.O_CREAT && flags & C.O_EXCL) throw fault("EEXIST");
      if (node?.folder && flags & (C.O_WRONLY | C.O_RDWR)) throw fault("EISDIR");
      if (node && !node.folder && flags & C.O_DIRECTORY) throw fault("ENOTDIR");
      if (!node) {
        const [within, name, whole] = place(path);
        node = file(passing(whole) ? 0 : ++latest);
        if (node.id) {
          await at(node, true);
          try {
            note("file", whole, node.id);
          } catch (e) {
            await drop(node);
            throw e;
          }
        }
        within.set(name, node);
      }
      if (!node.folder) {
        await hold(node);
        if (flags & C.O_TRUNC) cut(node, 0);
      }
      const fd = descriptor++;
      opened.set(fd, { node, at: 0, append: !!(flags & C.O_APPEND) });
      return fd;
    }
    async function unlink(path) {
      const [within, name, whole] = place(path),
        node = within.get(name);
      if (!node) throw fault("ENOENT");
      if (node.folder) throw fault("EISDIR");
      if (node.id) note("gone", whole);
      within.delete(name);
      await unname(node);
    }
    async function rename(from, to) {
      const [a, named, old] = place(from),
        node = a.get(named);
      if (!node) throw fault("ENOENT");
      const [b, called, fresh] = place(to),
        was = b.get(called);
      if (was === node) return;
      if (node.folder && `${fresh}/`.startsWith(`${old}/`)) throw fault("EINVAL");
      if (passing(old) !== passing(fresh)) throw fault("EXDEV"); // what lies in memory is another disk
      if (was?.folder && !node.folder) throw fault("EISDIR");
      if (was && !was.folder && node.folder) throw fault("ENOTDIR");
      if (was?.folder?.size) throw fault("ENOTEMPTY");
      if (!passing(fresh)) note("moved", old, fresh, node.id);
      a.delete(named);
      b.set(called, node);
      if (was && !was.folder) await unname(was);
    }

    const now =
      (work) =>
      (...args) => {
        const answer = args.pop();
        let value;
        try {
          value = work(...args);
        } catch (e) {
          answer(told(e));
          return;
        }
        answer(null, value);
      };
    const later =
      (work) =>
      (...args) => {
        const answer = args.pop();
        inTurn(() => work(...args)).then(
          (value) => answer(null, value),
          (e) => answer(told(e)),
        );
      };
    let line = "";
    const print = (bytes) => {
      line += decoder.decode(bytes);
      const end = line.lastIndexOf("\n");
      if (end >= 0) {
        console.log(line.slice(0, end));
        line = line.slice(end + 1);
      }
      return bytes.length;
    };
    const nothing = (...args) => args.pop()(null);

    const fs = {
      constants: C,
      writeSync: (fd, bytes) => print(bytes),
      write: now((fd, from, offset, size, position) => {
        const bytes = from.subarray(offset, offset + size);
        if (fd === 1 || fd === 2) return print(bytes);
        const f = byNumber(fd);
        if (f.node.folder) throw fault("EISDIR");
        const where = f.append ? sizeNow(f.node) : Number(position ?? f.at),
          n = writeAt(f.node, bytes, where);
        if (position === null || position === undefined) f.at = where + n;
        return n;
      }),
      read: now((fd, into, offset, size, position) => {
        const f = byNumber(fd);
        if (f.node.folder) throw fault("EISDIR");
        const where = Number(position ?? f.at),
          n = readAt(f.node, into.subarray(offset, offset + size), where);
        if (position === null || position === undefined) f.at = where + n;
        return n;
      }),
      fsync: now((fd) => {
        const { node } = byNumber(fd);
        if (node.handle) node.handle.flush();
      }), // names are on the disk already
      ftruncate: now((fd, to) => cut(byNumber(fd).node, Number(to))),
      open: later(openFile),
      close: later(async (fd) => {
        const { node } = byNumber(fd);
        opened.delete(fd);
        if (!node.folder) await release(node);
      }),
      fstat: later(async (fd) => {
        const { node } = byNumber(fd);
        return stat(node, await sizeOf(node));
      }),
      stat: later(async (path) => {
        const node = find(path);
        return stat(node, await sizeOf(node));
      }),
      truncate: later(async (path, to) => {
        const node = find(path);
        if (node.folder) throw fault("EISDIR");
        await hold(node);
        try {
          cut(node, Number(to));
        } finally {
          await release(node);
        }
      }),
      readdir: later((path) => {
        const node = find(path);
        if (!node.folder) throw fault("ENOTDIR");
        return [...node.folder.keys()];
      }),
      mkdir: later((path) => {
        const [within, name, whole] = place(path);
        if (within.has(name)) throw fault("EEXIST");
        if (!passing(whole)) note("folder", whole);
        within.set(name, folder());
      }),
      rmdir: later((path) => {
        const [within, name, whole] = place(path),
          node = within.get(name);
        if (!node) throw fault("ENOENT");
        if (!node.folder) throw fault("ENOTDIR");
        if (node.folder.size) throw fault("ENOTEMPTY");
        if (!passing(whole)) note("gone", whole);
        within.delete(name);
      }),
      unlink: later(unlink),
      rename: later(rename),
      chmod: nothing,
      fchmod: nothing,
      chown: nothing,
      fchown: nothing,
      lchown: nothing,
      utimes: nothing,
      readlink: now(() => {
        throw fault("EINVAL");
      }),
      link: now(() => {
        throw fault("ENOSYS");
      }),
      symlink: now(() => {
        throw fault("ENOSYS");
      }),
    };
    fs.lstat = fs.stat;

    root.folder.set("memory", folder());
    return {
      fs,
      hurt: known.hurt,
      // sweep removes what no name leads to: files that were open, or had no name yet, when the program ended.
      sweep: async () => {
        for (const id of known.strays) await inTurn(() => drop({ id }));
        return known.strays.length;
      },
      close: async () => {
        await last;
        for (const { node } of opened.values()) node.handle?.close();
        journal.close();
      },
    };
  }
  const process = {
    getuid: () => 0,
    getgid: () => 0,
    geteuid: () => 0,
    getegid: () => 0,
    getgroups: () => [],
    pid: 1,
    ppid: 1,
    umask: () => 0o077,
    cwd: () => "/",
    chdir: () => {
      throw fault("ENOSYS");
    },
  };
  const path = { resolve: (...parts) => "/" + namesOf(parts.join("/")).join("/") };
  return { open, process, path };
})();
