"use strict";
// Photos that the browser decodes for the program: HEIC and AVIF, where it can. The program reads profile and shooting facts itself,
// so the codes must be those of the file.
(() => {
  // strips hands out a picture's pixels by rows.
  function strips(bitmap) {
    const { width, height } = bitmap;
    const canvas = new OffscreenCanvas(width, 1);
    const on = canvas.getContext("2d", { willReadFrequently: true, colorSpace: "srgb" });
    return {
      width,
      height,
      rows(from, to) {
        canvas.height = to - from; // and clears it
        on.drawImage(bitmap, 0, -from);
        return on.getImageData(0, 0, width, to - from).data;
      },
      close() {
        bitmap.close();
      },
    };
  }
  const open = (data, type) =>
    createImageBitmap(new Blob([data], { type }), {
      colorSpaceConversion: "none",
      premultiplyAlpha: "none",
      imageOrientation: "from-image",
    });

  // One pixel of code 128 with a profile of linear light: a browser that applies profiles makes 188 of it.
  const linear =
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAIAAACQd1PeAAAAvmlDQ1BsAAB42mNgYDzAAARMDgwMuXklRUHuTgoRkVEK7K8YGIEQDBKTiwsY8IJv1yBqL+sykA44U1KL" +
    "k4H0B7BVBUUlDAyMIUA2b3lJAYidAmSLFAEdBWRXgNjpEHYPiJ0EYS8AqwkJcgaytwDZPOlI7CQkNtQuEGDPycxLTSxioDooSa0oAdF5+XmpIBoUnujhhBDLX8TAYPGV" +
    "gYF5AkIsaSYDw/ZWBgaJWwgxFaAf+VsYGLadTy4tKoPZBQBCmzfLvSovbAAAAAxJREFUeNpjaGhoAAADBAGBdS4BvAAAAABJRU5ErkJggg==";
  let asStored = null;
  const leavesColours = () =>
    (asStored ??= open(Uint8Array.from(atob(linear), (c) => c.charCodeAt(0)), "image/png").then((bitmap) => {
      const picture = strips(bitmap),
        code = picture.rows(0, 1)[0];
      picture.close();
      return code === 128;
    }));

  globalThis.huewrightDecode = async (data, type) => {
    if (!globalThis.OffscreenCanvas || !(await leavesColours())) return null;
    try {
      return strips(await open(data, type));
    } catch (e) {
      if (e.name === "InvalidStateError") return null; // it knows no such pictures, or this one is damaged
      throw e;
    }
  };
})();
