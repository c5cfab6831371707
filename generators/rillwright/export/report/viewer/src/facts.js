// What the document carries: numbers as JSON, the model as packed glTF.

/** The numbers that the page was written with. */
export function facts() {
  return JSON.parse(document.getElementById('facts').textContent);
}

/** The model's bytes, unpacked. */
export async function modelBytes() {
  const text = document.getElementById('model').textContent;
  const packed = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const unpacked = new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'));
  return new Response(unpacked).arrayBuffer();
}

/** Parts of a binary glTF file as this page is given it: one buffer, one level of nodes. */
export function parsed(buffer) {
  const view = new DataView(buffer);
  if (view.getUint32(0, true) !== 0x46546c67) throw new Error('the model is no binary glTF');
  const size = view.getUint32(12, true);
  const doc = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 20, size)));
  const start = 28 + size;
  const array = (index) => {
    const accessor = doc.accessors[index];
    const at = start + (doc.bufferViews[accessor.bufferView].byteOffset ?? 0);
    const width = accessor.type === 'VEC3' ? 3 : 1;
    const Kind = { 5126: Float32Array, 5123: Uint16Array, 5125: Uint32Array }[accessor.componentType];
    return new Kind(buffer, at, accessor.count * width);
  };
  const meshes = doc.meshes.map((m) => m.primitives.map((p) => ({
    mode: p.mode,
    position: array(p.attributes.POSITION),
    normal: 'NORMAL' in p.attributes ? array(p.attributes.NORMAL) : null,
    index: array(p.indices),
    colour: doc.materials[p.material].pbrMetallicRoughness.baseColorFactor,
  })));
  return doc.nodes.filter((n) => 'mesh' in n).map((n) => ({ ...n, primitives: meshes[n.mesh], of: n.mesh }));
}
