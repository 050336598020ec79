/**
 * Identities made on this device: UUID version 7 (RFC 9562, section 5.7), by which the hub knows a repeated report.
 * `crypto.randomUUID` is not used: browsers offer it on encrypted pages only, and a hub in a field often has none.
 * @module uuid
 */

/**
 * @param {number} [now] milliseconds since 1970
 * @param {Uint8Array} [chance] 16 random bytes
 * @returns {string} 48 bits of time, then chance: later ones sort later
 */
export function uuidV7(now = Date.now(), chance = crypto.getRandomValues(new Uint8Array(16))) {
  const bytes = Uint8Array.from(chance);
  for (let index = 0; index < 6; index += 1) bytes[index] = Math.floor(now / 2 ** (8 * (5 - index))) % 256;
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
