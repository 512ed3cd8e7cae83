/** Photos as they are kept: reduced on the phone so that a day of them fits, the right way up, without the place where they were taken. */

const LONGEST = 1600;
const QUALITY = 0.8;

/**
 * @param {Blob} file
 * @returns {Promise<Blob | null>} null: no picture that this phone or the office can read
 */
export async function reduced(file) {
  let picture;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    return /^image\/hei[cf]$/.test(file.type) ? file : null;
  }
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((done) => canvas.toBlob((blob) => done(blob ?? file), "image/jpeg", QUALITY));
}
