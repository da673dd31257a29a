/** What the types of danfojs-node name; there are no tensors here (index.js). */
export declare class Tensor {
  private readonly none
}
export declare class Tensor1D extends Tensor {}
export declare class Tensor2D extends Tensor {}
export declare class Scalar extends Tensor {}
