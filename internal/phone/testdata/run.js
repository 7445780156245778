"use strict";
// Runs a Go test that is built for js over site/fs.js: node run.js TEST [flags]. What the package has in testdata is put into it first.
// The test may call huewrightRoom(bytes) to have so much room left; less than 0 is all it wants.
const nodeFS = require("fs"),
  nodePath = require("path"),
  { execFileSync } = require("child_process");
const { Folder } = require("./opfs.js");
require("../site/names.js");
require("../site/fs.js");

(async () => {
  const disk = new Folder(),
    files = await huewrightFiles.open(disk);
  globalThis.huewrightRoom = (bytes) => {
    disk.disk.room = bytes < 0 ? Infinity : disk.disk.used() + bytes;
  };
  const call = (name, ...args) => new Promise((ok, no) => files.fs[name](...args, (e, v) => (e ? no(e) : ok(v))));
  const copy = async (from, to) => {
    for (const e of nodeFS.readdirSync(from, { withFileTypes: true })) {
      const here = nodePath.join(from, e.name),
        there = `${to}/${e.name}`;
      if (e.isDirectory()) {
        await call("mkdir", there, 0o700);
        await copy(here, there);
        continue;
      }
      const bytes = nodeFS.readFileSync(here),
        fd = await call("open", there, files.fs.constants.O_CREAT | files.fs.constants.O_RDWR, 0o600);
      await call("write", fd, bytes, 0, bytes.length, null);
      await call("close", fd);
    }
  };
  for (const folder of ["/package", "/package/testdata", "/temporary"]) await call("mkdir", folder, 0o700);
  if (nodeFS.existsSync("testdata")) await copy("testdata", "/package/testdata");
  const goroot = execFileSync("go", ["env", "GOROOT"]).toString().trim();
  const test = nodeFS.readFileSync(process.argv[2]),
    argv = process.argv.slice(2),
    exit = process.exit.bind(process),
    env = { ...process.env, TMPDIR: "/temporary" };
  // Names that are not whole are those of the package's folder.
  const whole = (p) => (p.startsWith("/") ? p : "/package/" + p);
  const fs = { ...files.fs };
  for (const name of ["open", "stat", "lstat", "mkdir", "readdir", "rmdir", "unlink", "truncate"])
    fs[name] = (p, ...rest) => files.fs[name](whole(p), ...rest);
  fs.rename = (a, b, done) => files.fs.rename(whole(a), whole(b), done);
  fs.writeSync = (fd, bytes) => nodeFS.writeSync(fd, bytes);
  const write = fs.write;
  fs.write = (fd, bytes, offset, length, position, done) =>
    fd < 3 ? done(null, nodeFS.writeSync(fd, bytes, offset, length)) : write(fd, bytes, offset, length, position, done);
  globalThis.fs = fs;
  globalThis.path = { resolve: (...parts) => huewrightFiles.path.resolve("/package", ...parts) };
  globalThis.process = {
    ...huewrightFiles.process,
    cwd: () => "/package",
    chdir: () => {
      throw Object.assign(new Error("ENOSYS"), { code: "ENOSYS" });
    },
  };
  require(nodePath.join(goroot, "lib/wasm/wasm_exec.js"));
  const go = new Go();
  go.argv = argv;
  go.env = env;
  go.exit = exit;
  const { instance } = await WebAssembly.instantiate(test, go.importObject);
  await go.run(instance);
})().catch((e) => {
  console.error(e);
  require("process").exit(1);
});
