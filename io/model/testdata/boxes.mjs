// Prints the box of every element of a model, in mm, as an independent reader sees it: node boxes.mjs LIBRARY FILE
import fs from 'fs'; import {pathToFileURL} from 'url'; import path from 'path';
const [,, library, file] = process.argv;
const W = await import(pathToFileURL(path.join(library, 'web-ifc-api-node.js')));
const api = new W.IfcAPI(); await api.Init();
const id = api.OpenModel(new Uint8Array(fs.readFileSync(file)), {COORDINATE_TO_ORIGIN: false, CIRCLE_SEGMENTS: 96});
const out = {};
function take(mesh) {
  const lo = [1e99, 1e99, 1e99], hi = [-1e99, -1e99, -1e99];
  for (let i = 0; i < mesh.geometries.size(); i++) {
    const part = mesh.geometries.get(i), g = api.GetGeometry(id, part.geometryExpressID);
    const v = api.GetVertexArray(g.GetVertexData(), g.GetVertexDataSize()), m = part.flatTransformation;
    for (let k = 0; k < v.length; k += 6) {
      const [x, y, z] = [v[k], v[k+1], v[k+2]];
      const p = [m[0]*x + m[4]*y + m[8]*z + m[12], m[1]*x + m[5]*y + m[9]*z + m[13], m[2]*x + m[6]*y + m[10]*z + m[14]];
      [p[0]*1000, -p[2]*1000, p[1]*1000].forEach((c, a) => { lo[a] = Math.min(lo[a], c); hi[a] = Math.max(hi[a], c); });
    }
    g.delete();
  }
  if (mesh.geometries.size()) out[api.GetLine(id, mesh.expressID).GlobalId.value] = [...lo, ...hi];
}
api.StreamAllMeshes(id, take);
console.log(JSON.stringify(out));
