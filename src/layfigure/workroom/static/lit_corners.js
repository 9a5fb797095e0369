// @ts-check
// How a body is lit, and a skin lit at its corners only: where a processor draws, each pixel's own light costs a
// third of the drawing.

/** From above the viewer's left shoulder: on the way from what is looked at. */
export const KEY = {from: [-0.7, 0.9, 2], colour: 0xffffff, strength: 1.9};
export const SKY = {above: 0xffffff, below: 0x8a7f70, strength: 1.5};

/** A material that looks as MeshLambertMaterial does in these lights, on a skin of small faces. @param {any} three */
export function litAtCorners(three) {
  const look = new three.MeshBasicMaterial();
  const key = new three.Vector3(...KEY.from).normalize().multiplyScalar(KEY.strength / Math.PI);
  const [above, below] = [SKY.above, SKY.below].map((colour) => new three.Color(colour).multiplyScalar(SKY.strength / Math.PI));
  look.onBeforeCompile = (/** @type {any} */ shader) => {
    Object.assign(shader.uniforms, {key: {value: key}, above: {value: above}, below: {value: below}});
    shader.vertexShader = `
      uniform vec3 diffuse, key, above, below;
      varying vec3 lit;
      void main() {
        gl_Position = projectionMatrix * (modelViewMatrix * vec4(position, 1.0));
        vec3 light = mix(below, above, 0.5 + 0.5 * normal.z) + max(0.0, dot(mat3(viewMatrix) * normal, key));
        vec3 linear = diffuse * light;
        lit = mix(12.92 * linear, 1.055 * pow(linear, vec3(1.0 / 2.4)) - 0.055, step(0.0031308, linear));
      }`;
    shader.fragmentShader = "varying vec3 lit; void main() { gl_FragColor = vec4(lit, 1.0); }";
  };
  return look;
}
