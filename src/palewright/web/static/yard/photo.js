/** Photos as they are kept: reduced on the phone so that a day of them fits, the right way up, without the place where they were taken. */

const LONGEST = 1600;
const QUALITY = 0.8;

/**
 * A photo as a JPEG, whatever the camera made of it (HEIC, WebP, PNG), where this browser can read it.
 * @param {Blob} file
 * @returns {Promise<{blob: Blob, printed: boolean} | null>} printed: false where it is kept as it came, and the sheet cannot show it; null: no picture that this phone or the office can read
 */
export async function reduced(file) {
  const picture = await opened(file);
  if (!picture) return /^image\/hei[cf]$/.test(file.type) ? { blob: file, printed: false } : null;
  const [width, height] = [picture.width, picture.height];
  const scale = Math.min(1, LONGEST / Math.max(width, height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(width * scale));
  canvas.height = Math.max(1, Math.round(height * scale));
  const pen = canvas.getContext("2d");
  if (pen) {
    pen.fillStyle = "#fff"; // what is see-through would come out black
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
  }
  if ("close" in picture) picture.close();
  return new Promise((done) => canvas.toBlob((blob) => done(blob ? { blob, printed: true } : { blob: file, printed: /^image\/(jpeg|png)$/.test(file.type) }), "image/jpeg", QUALITY));
}

/** Two ways to read a picture: some browsers know kinds by the second that they do not know by the first. @param {Blob} file @returns {Promise<ImageBitmap | HTMLImageElement | null>} */
async function opened(file) {
  try {
    return await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    const image = new Image();
    image.src = URL.createObjectURL(file);
    try {
      await image.decode();
      return image.width && image.height ? image : null;
    } catch {
      return null;
    } finally {
      URL.revokeObjectURL(image.src);
    }
  }
}
